package part

import (
	"fmt"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/part/worksheet"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// bar stands above all: open, save, report, units, and how far the reading is.
type bar struct {
	p       *Page
	sample  *kit.Button
	save    *kit.Button
	report  *kit.Button
	keep    *kit.Button
	units   *kit.Button
	parts   *kit.Select
	choice  *fyne.Container // holds parts
	words   *kit.Line
	track   *kit.Track
	stop    *kit.Button
	strip   *fyne.Container // progress
	filling bool
	content fyne.CanvasObject
}

func newBar(p *Page) *bar {
	b := &bar{p: p, words: kit.NewLine("", 0.95, kit.Ink).Cut(), track: kit.NewTrack()}
	open := kit.NewButtonWithIcon("Open a list", look.IconOpen, p.AskOpen)
	b.sample = kit.NewButtonWithIcon("Sample part", look.IconSample, p.OpenSample)
	b.keep = kit.NewButtonWithIcon("Keep", look.IconKept, p.Keep)
	b.save = kit.NewButtonWithIcon("Save", look.IconCard, p.AskSave)
	b.report = kit.NewButtonWithIcon("Report", look.IconReport, p.AskReport)
	b.units = kit.NewButton("mm", p.SwapUnits)
	b.parts = kit.NewSelect(nil, "", func(name string) {
		if !b.filling && name != p.state.Name {
			p.replace("Open "+name, func() {
				p.state.OpenPart(name, p.files)
				p.changed()
			})
			b.refresh() // back to the part that stands there while the question does
		}
	})
	b.stop = kit.NewButtonWithIcon("Stop", look.IconCancel, func() {
		if p.work.running > 0 {
			p.Cancel()
		} else {
			p.Again()
		}
	})
	b.strip = kit.Row(12, 0, kit.Column(5, b.words, b.track), kit.Tall(b.stop, 0, touch))
	b.strip.Hide()
	b.choice = kit.Tall(b.parts, 150, touch)
	row := kit.Wrapped(6, kit.Tall(open, 0, touch), kit.Tall(b.sample, 0, touch), b.choice,
		kit.Tall(b.keep, 0, touch), kit.Tall(b.save, 0, touch), kit.Tall(b.report, 0, touch), kit.Tall(b.units, 54, touch))
	b.content = kit.NewGround(kit.Margin, 8, kit.Column(6, row, b.strip))
	return b
}

func enable(b *kit.Button, on bool) {
	if on == b.Disabled() {
		if on {
			b.Enable()
		} else {
			b.Disable()
		}
	}
}

func show(o fyne.CanvasObject, on bool) bool {
	if on == o.Visible() {
		return false
	}
	if on {
		o.Show()
	} else {
		o.Hide()
	}
	return true
}

func (b *bar) refresh() {
	s := b.p.state
	if u := s.Units.String(); b.units.Text != u {
		b.units.SetText(u)
	}
	show(b.sample, b.p.deps.Sample != nil)
	enable(b.save, !s.Empty())
	enable(b.report, s.Report != nil)
	enable(b.keep, b.p.deps.Keeper != nil && !s.Sample && s.NotKept() > 0 && b.p.work.running == 0)
	keep := "Keep"
	if n := s.NotKept(); n > 0 && !s.Sample {
		keep = fmt.Sprintf("Keep %d", n)
	}
	if b.keep.Text != keep {
		b.keep.SetText(keep)
	}
	b.filling = true
	if parts := s.Parts(); len(parts) > 1 {
		b.parts.SetOptions(parts)
		b.parts.SetSelected(s.Name)
		b.choice.Show()
	} else {
		b.choice.Hide()
	}
	b.filling = false
	b.progress()
}

// progress shows how far the reading of photos has come.
func (b *bar) progress() {
	s := b.p.state
	done, all := s.Progress()
	stopped := 0
	for _, ph := range s.Photos() {
		if ph.Stage == worksheet.Stopped && b.p.work.running == 0 {
			stopped++
		}
	}
	changed := false
	switch {
	case done < all:
		b.words.Set(fmt.Sprintf("Reading the photos: %d of %d", done, all))
		b.track.Set(b.p.share())
		if b.stop.Text != "Stop" {
			b.stop.SetText("Stop")
			b.stop.SetIcon(look.IconCancel)
		}
		changed = show(b.strip, true)
	case stopped > 0:
		b.words.Set(fmt.Sprintf("Stopped: %d not read", stopped))
		b.track.Set(float64(all-stopped) / float64(all))
		if b.stop.Text != "Look again" {
			b.stop.SetText("Look again")
			b.stop.SetIcon(look.IconRetry)
		}
		changed = show(b.strip, true)
	default:
		changed = show(b.strip, false)
	}
	if changed && b.p.content != nil {
		b.p.content.Refresh()
	}
}

// notice is a slip below the bar: what went wrong, what came of it.
type notice struct {
	p       *Page
	words   *kit.Prose
	content *fyne.Container
}

func newNotice(p *Page) *notice {
	n := &notice{p: p, words: kit.NewProse("", 1, kit.Ink)}
	b := kit.NewButtonWithIcon("Close", look.IconCancel, n.hide)
	n.content = kit.Column(0, kit.NewGround(kit.Wash2, 8, kit.Row(12, 0, n.words, kit.Tall(b, 0, touch))))
	n.content.Hide()
	return n
}

func (n *notice) say(words string) {
	n.words.Set(words)
	n.content.Show()
	n.p.content.Refresh()
}

func (n *notice) hide() {
	if show(n.content, false) {
		n.p.content.Refresh()
	}
}

// welcome is what an empty page says.
type welcome struct{ content fyne.CanvasObject }

func newWelcome(p *Page) *welcome {
	sample := kit.NewButton("Show the sample part", p.OpenSample)
	sample.Importance = widget.HighImportance
	if p.deps.Sample == nil {
		sample.Hide()
	}
	buttons := kit.Wrapped(8, kit.Tall(sample, 0, touch), kit.Tall(kit.NewButtonWithIcon("Open a list", look.IconOpen, p.AskOpen), 0, touch),
		kit.Tall(kit.NewButton("Add a hole", p.AddHole), 0, touch), kit.Tall(kit.NewButton("Add a wall", p.AddWall), 0, touch))
	words := kit.Column(16,
		kit.NewProse("A part with several holes", 1.9, kit.Ink).Bold(),
		kit.NewProse("One hole tells how far the chamfer is off its bore. Several holes of one part tell whether setup 2 was shifted or turned, and an indicator run over the seams of its walls tells whether the halves differ in size. Put them together here.", 1.1, kit.Ink),
		kit.NewProse("Photograph two holes or more, far apart, each from straight above. Type where each hole is from part zero.", 1, kit.Soft),
		buttons)
	w := &welcome{}
	w.content = centred(words)
	return w
}

// centred centres a column of a readable width.
func centred(o fyne.CanvasObject) fyne.CanvasObject {
	return container.NewVScroll(&fyne.Container{Layout: readable{}, Objects: []fyne.CanvasObject{o}})
}

type readable struct{}

func (readable) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(300, o[0].MinSize().Height+32)
}

func (readable) Layout(o []fyne.CanvasObject, s fyne.Size) {
	w := min(s.Width-40, 620*look.Zoom())
	for range 3 {
		o[0].Resize(fyne.NewSize(w, o[0].MinSize().Height))
	}
	o[0].Move(fyne.NewPos((s.Width-w)/2, max((s.Height-o[0].Size().Height)*0.4, 16)))
}

// verdictLook is kit.VerdictLook, and a sign for what has no verdict yet.
func verdictLook(v model.Verdict) (look.Icon, kit.Tint) {
	if v == "" {
		return look.IconPart, kit.Ink
	}
	return kit.VerdictLook(v)
}
