package bench

import (
	"image"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
)

// tray shows the photos on the bench, each with its state, verdict and small
// unrolled rim. With one photo there is no tray. Only the slips in sight exist: a
// thousand photos cost no more than a dozen each time one of them changes.
type tray struct {
	p       *Page
	row     *fyne.Container
	scroll  *container.Scroll
	slips   map[int]*traySlip
	content fyne.CanvasObject

	pattern  *traySlip // never shown: what a slip measures
	measured float32   // the text scale that slip is for
	slip     fyne.Size // of one slip, at the text size in force
	selected int       // ID when last looked at: another one is brought into sight
}

const trayGap = 6

// traySlip is one photo's card in the tray.
type traySlip struct {
	tap   *kit.Tap
	thumb *canvas.Image
	band  *kit.Drawing
	sign  *kit.Sign
	name  *kit.Prose
	words *kit.Prose
	// verdict is the answer in words, or what is wanted or wrong.
	verdict *kit.Line
	track   *kit.Track

	shown *model.Reading
}

func newTray(p *Page) *tray {
	t := &tray{p: p, slips: map[int]*traySlip{}}
	t.row = &fyne.Container{Layout: trayRow{t}}
	t.scroll = container.NewHScroll(t.row)
	t.scroll.OnScrolled = func(fyne.Position) { t.refresh() }
	t.content = &fyne.Container{Layout: &traySight{t: t}, Objects: []fyne.CanvasObject{t.scroll}}
	t.content.Hide()
	t.pattern = t.newSlip(0)
	t.pattern.verdict.Set(report.Headline(model.DoesNotConform))
	return t
}

func (t *tray) newSlip(id int) *traySlip {
	s := &traySlip{
		thumb:   canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1))),
		band:    kit.NewDrawing(t.p.crew, fyne.NewSize(60, 26)),
		sign:    kit.NewSign(look.IconWaiting, 2),
		name:    kit.NewProse("", 0.85, kit.Ink).AtMost(3),
		words:   kit.NewProse("", 0.8, kit.Soft).AtMost(2),
		verdict: kit.NewLine("", 0.9, kit.Ink).Bold().Cut(),
		track:   kit.NewTrack(),
	}
	s.thumb.FillMode, s.thumb.ScaleMode = canvas.ImageFillContain, canvas.ImageScaleFastest
	s.thumb.SetMinSize(fyne.NewSize(96, 72))
	right := kit.Column(4, kit.Row(8, 1, s.sign, kit.Column(1, s.name, s.verdict)), s.words, container.NewStack(s.band, s.track))
	s.tap = kit.NewTap(kit.Row(10, 1, s.thumb, right), func() { t.p.Select(id) })
	s.tap.Edge, s.tap.BarSide, s.tap.Pad = kit.Rule, kit.NoBar, 6
	return s
}

// measure is what a slip takes: wide enough for a name, high enough for what wraps.
func (t *tray) measure() fyne.Size {
	w := 190 + 160*look.Zoom()
	if sight := t.scroll.Size().Width; sight > 0 {
		w = min(w, sight)
	}
	if z := look.Zoom(); t.measured != z || t.slip.Width != w {
		t.measured = z
		t.pattern.makeRoom()
		// As many lines as a long name and the figures may take at this text size.
		name, words := "a\nb", "X +0.00000  Y −0.00000  ± 0.00000"
		if z >= 1.5 {
			name, words = "a\nb\nc", "a\nb"
		}
		t.pattern.name.Set(name)
		t.pattern.words.Set(words)
		t.slip = fyne.NewSize(w, 0)
		for range 2 { // wrapped text tells its height once it has its width
			t.pattern.tap.Resize(t.slip)
			t.slip.Height = t.pattern.tap.MinSize().Height
		}
	}
	return t.slip
}

// traySight gives the tray its place; a wider one shows more slips.
type traySight struct {
	t     *tray
	width float32
}

func (v *traySight) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(o[0].MinSize().Width, max(o[0].MinSize().Height, v.t.slip.Height))
}

func (v *traySight) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(s)
	if v.width != s.Width {
		v.width = s.Width
		v.t.refresh()
	}
}

// trayRow is as wide as all slips and has those in sight, each at its photo's place.
type trayRow struct{ t *tray }

func (r trayRow) MinSize([]fyne.CanvasObject) fyne.Size {
	n := float32(len(r.t.p.state.Photos))
	return fyne.NewSize(max(n*(r.t.slip.Width+trayGap)-trayGap, 0), r.t.slip.Height)
}

func (r trayRow) Layout([]fyne.CanvasObject, fyne.Size) {
	for i, ph := range r.t.p.state.Photos {
		if s := r.t.slips[ph.ID]; s != nil {
			s.tap.Move(fyne.NewPos(float32(i)*(r.t.slip.Width+trayGap), 0))
			s.tap.Resize(r.t.slip)
		}
	}
}

// inSight are the places of the first photo in sight and of the first beyond.
func (t *tray) inSight() (from, to int) {
	n, step := len(t.p.state.Photos), t.slip.Width+trayGap
	w := t.scroll.Size().Width
	t.scroll.Offset.X = max(min(t.scroll.Offset.X, float32(n)*step-trayGap-w), 0)
	from = int(t.scroll.Offset.X / step)
	to = int((t.scroll.Offset.X+w)/step) + 1
	return min(max(from, 0), n), min(to, n)
}

func (t *tray) refresh() {
	photos := t.p.state.Photos
	t.slip = t.measure()
	if there := len(photos) > 1; there != t.content.Visible() {
		if there {
			t.content.Show()
		} else {
			t.content.Hide()
		}
		if t.p.middle != nil {
			t.p.middle.Refresh() // photo and rim make room, or take it back
		}
	}
	if !t.content.Visible() {
		t.show(nil)
		return
	}
	t.seek()
	from, to := t.inSight()
	t.show(photos[from:to])
}

// seek brings a photo that was not the one selected before into sight.
func (t *tray) seek() {
	sel := t.p.state.Selected()
	if sel == nil || sel.ID == t.selected || t.scroll.Size().Width <= 0 {
		return
	}
	t.selected = sel.ID
	for i, ph := range t.p.state.Photos {
		if ph.ID != sel.ID {
			continue
		}
		left := float32(i) * (t.slip.Width + trayGap)
		right := left + t.slip.Width
		switch x, w := t.scroll.Offset.X, t.scroll.Size().Width; {
		case left < x:
			t.scroll.Offset.X = left
		case right > x+w:
			t.scroll.Offset.X = max(right-w, 0)
		}
	}
}

// show has slips for these photos and no others.
func (t *tray) show(photos []*state.Photo) {
	seen := map[int]bool{}
	objects := make([]fyne.CanvasObject, 0, len(photos))
	for _, ph := range photos {
		s := t.slips[ph.ID]
		if s == nil {
			s = t.newSlip(ph.ID)
			t.slips[ph.ID] = s
		}
		t.fill(s, ph)
		seen[ph.ID] = true
		objects = append(objects, s.tap)
	}
	for id, s := range t.slips {
		if !seen[id] {
			// The toolkit remembers a widget for a minute: not its pictures.
			s.thumb.Image, s.shown = nil, nil
			s.band.Paint(nil)
			delete(t.slips, id)
		}
	}
	t.row.Objects = objects
	t.row.Refresh()
	t.scroll.Refresh()
}

// makeRoom leaves the small rim out where large text needs its place.
func (s *traySlip) makeRoom() {
	if look.Zoom() >= 1.5 {
		s.band.Hide()
	} else {
		s.band.Show()
	}
}

func (t *tray) fill(s *traySlip, ph *state.Photo) {
	s.makeRoom()
	sel := t.p.state.Selected()
	s.tap.Select(sel != nil && sel.ID == ph.ID)
	if ph.Thumb != nil && s.thumb.Image != image.Image(ph.Thumb) {
		s.thumb.Image = ph.Thumb
		s.thumb.Refresh()
	}
	s.name.Set(ph.Name)
	line := state.TrayLine(ph, t.p.state.Units)
	s.words.Set(line.Words)
	s.verdict.Tint = kit.Ink
	if line.Verdict != "" {
		_, s.verdict.Tint = kit.VerdictLook(line.Verdict)
	}
	s.verdict.Set(line.Head)
	s.verdict.Refresh()
	s.sign.Set(trayIcon(line))
	if line.Busy {
		s.track.Show()
		s.track.Set(ph.Progress)
	} else {
		s.track.Hide()
	}
	if ph.Reading != s.shown {
		s.shown = ph.Reading
		if ph.Reading == nil || ph.Thumb == nil {
			s.band.Paint(nil)
		} else {
			s.band.Paint(bandPainter(ph.Thumb, ph.Reading))
		}
	}
}

func (t *tray) progress(ph *state.Photo) {
	if s := t.slips[ph.ID]; s != nil {
		s.track.Set(ph.Progress)
	}
}

func trayIcon(l state.TrayWords) look.Icon {
	switch {
	case l.Busy, l.Waiting:
		return look.IconWaiting
	case l.CardWanted:
		return look.IconCard
	case l.Verdict == "":
		return look.IconRefused
	}
	icon, _ := kit.VerdictLook(l.Verdict)
	return icon
}
