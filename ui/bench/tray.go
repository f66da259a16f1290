package bench

import (
	"image"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
)

// tray shows the photos on the bench, each with its state, verdict and small
// unrolled rim. With one photo there is no tray.
type tray struct {
	p       *Page
	row     *fyne.Container
	scroll  *container.Scroll
	slips   map[int]*traySlip
	content fyne.CanvasObject
}

// traySlip is one photo's card in the tray.
type traySlip struct {
	tap   *kit.Tap
	thumb *canvas.Image
	band  *kit.Drawing
	sign  *kit.Sign
	name  *kit.Line
	words *kit.Line
	// verdict is the answer in words, or what is wanted or wrong.
	verdict *kit.Line
	track   *kit.Track

	shown *model.Reading
}

func newTray(p *Page) *tray {
	t := &tray{p: p, slips: map[int]*traySlip{}}
	t.row = kit.Row(6, -1)
	t.scroll = container.NewHScroll(t.row)
	t.content = t.scroll
	t.content.Hide()
	return t
}

func (t *tray) newSlip(id int) *traySlip {
	s := &traySlip{
		thumb:   canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1))),
		band:    kit.NewDrawing(t.p.crew, fyne.NewSize(60, 26)),
		sign:    kit.NewSign(look.IconWaiting, 2),
		name:    kit.NewLine("", 0.85, kit.Ink).Cut(),
		words:   kit.NewLine("", 0.8, kit.Soft).Cut(),
		verdict: kit.NewLine("", 0.9, kit.Ink).Bold().Cut(),
		track:   kit.NewTrack(),
	}
	s.thumb.FillMode, s.thumb.ScaleMode = canvas.ImageFillContain, canvas.ImageScaleFastest
	s.thumb.SetMinSize(fyne.NewSize(96, 72))
	right := kit.Column(4, kit.Row(8, 1, s.sign, kit.Column(1, s.name, s.verdict, s.words)), container.NewStack(s.band, s.track))
	s.tap = kit.NewTap(kit.Tall(kit.Row(10, 1, s.thumb, right), 330, 0), func() { t.p.Select(id) })
	s.tap.Edge, s.tap.BarSide, s.tap.Pad = kit.Rule, kit.NoBar, 6
	return s
}

func (t *tray) refresh() {
	photos := t.p.state.Photos
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
	if len(photos) > 1 {
		t.content.Show()
	} else {
		t.content.Hide()
	}
	t.row.Refresh()
	t.scroll.Refresh()
}

func (t *tray) fill(s *traySlip, ph *state.Photo) {
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
