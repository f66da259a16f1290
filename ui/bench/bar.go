package bench

import (
	"fmt"

	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// touch is the least height of what a finger has to hit.
const touch = 44

// bar stands above the photo: open, the job card in a line, how the photo is
// shown, units. Over the photo, while it is read, what is being done.
type bar struct {
	p        *Page
	box      *fyne.Container
	chip     *kit.Line
	rims     *kit.Button
	hand     *kit.Button // help the finder
	zoom     *kit.Line
	units    *kit.Button
	progress fyne.CanvasObject
	track    *kit.Track
	doing    *kit.Prose
	cancel   *kit.Button
}

func newBar(p *Page) *bar {
	b := &bar{p: p}
	open := kit.NewButtonWithIcon("Open", look.IconOpen, p.AskOpen)
	open.Importance = widget.HighImportance
	open.SetIcon(look.IconOpen.OnStamp())
	b.chip = kit.NewLine("", 1, kit.Ink).Cut()
	chip := kit.NewTap(kit.Row(8, 1, kit.NewSign(look.IconCard, 1.5), b.chip), p.ToggleCard)
	chip.Fill, chip.Edge = kit.Raised, kit.Rule
	b.rims = kit.NewButtonWithIcon("", look.IconRims, p.ToggleRims)
	fit := kit.NewButtonWithIcon("", look.IconFit, p.Fit)
	one := kit.NewButtonWithIcon("", look.IconOne, p.OneToOne)
	b.zoom = kit.NewLine("", 0.85, kit.Soft).Centred()
	b.units = kit.NewButton("mm", p.SwapUnits)
	b.hand = kit.NewButtonWithIcon("", look.IconHand, p.ToggleHelp)
	camera := kit.Tall(kit.NewButtonWithIcon("", look.IconCamera, func() { p.deps.Camera() }), touch, touch)
	if p.deps.Camera == nil {
		camera.Hide()
	}
	openers := kit.Row(6, -1, kit.Tall(open, 0, touch), camera)
	b.box = &fyne.Container{Layout: barLayout{}, Objects: []fyne.CanvasObject{
		openers, kit.Tall(chip, 0, touch),
		kit.Tall(b.hand, touch, touch), kit.Tall(b.rims, touch, touch), kit.Tall(fit, touch, touch), kit.Tall(one, touch, touch),
		kit.Tall(b.zoom, 52, 0), kit.Tall(b.units, 54, touch)}}

	b.track = kit.NewTrack()
	b.doing = kit.NewProse("", 1, kit.Ink)
	b.cancel = kit.NewButtonWithIcon("Stop", look.IconCancel, p.Cancel)
	slip := kit.NewSlip(kit.Column(6, kit.Beside(12, 160, b.doing, kit.Tall(b.cancel, 0, touch)), b.track))
	b.progress = container.NewVBox(container.NewPadded(container.NewPadded(slip)))
	b.progress.Hide()
	return b
}

// barLayout lays the bar out: the card's line takes what is left. Where too little
// is left for it, what has a key and a menu item besides goes first: the scale, one
// to one, the whole photo, rims on or off, the tools, the units.
type barLayout struct{}

const (
	barCard = 1 // place of the card's line
	barGap  = 6
)

// barSpare are the places of what may go, in order.
var barSpare = []int{6, 5, 4, 3, 2, 7}

func (barLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	gone := map[int]bool{}
	left := func() float32 {
		w := s.Width
		for i, c := range o {
			if i != barCard && !gone[i] {
				w -= c.MinSize().Width + barGap
			}
		}
		return w
	}
	for _, i := range barSpare {
		if left() >= 90*look.Zoom() {
			break
		}
		gone[i] = true
	}
	x := float32(0)
	for i, c := range o {
		if gone[i] {
			c.Hide() // a Tab must not stop at it either
			continue
		}
		c.Show()
		m := c.MinSize()
		if i == barCard {
			m.Width = max(left(), 0)
		}
		c.Resize(m)
		c.Move(fyne.NewPos(x, (s.Height-m.Height)/2))
		x += m.Width + barGap
	}
}

func (barLayout) MinSize(o []fyne.CanvasObject) (m fyne.Size) {
	for _, c := range o {
		m.Height = max(m.Height, c.MinSize().Height)
	}
	return fyne.NewSize(300, m.Height)
}

func (b *bar) refresh() {
	s := b.p.state.Selected()
	card, _ := b.p.state.Form.Card()
	b.chip.SetAny(state.CardLines(card, b.p.state.Units))
	importance := widget.MediumImportance
	if b.p.viewer.Bare() {
		importance = widget.LowImportance
	}
	if b.rims.Importance != importance {
		b.rims.Importance = importance
		b.rims.Refresh()
	}
	hand := widget.LowImportance
	if b.p.help.open {
		hand = widget.MediumImportance
	}
	if b.hand.Importance != hand {
		b.hand.Importance = hand
		b.hand.Refresh()
	}
	if u := b.p.state.Units.String(); b.units.Text != u {
		b.units.SetText(u)
	}
	if s != nil && s.Stage == state.Working {
		b.p.showProgress(s.ID)
		b.progress.Show()
	} else {
		b.progress.Hide()
	}
}

func (b *bar) showZoom(scale float64) {
	b.zoom.Set(fmt.Sprintf("%.0f %%", scale*100))
}

// showProgress updates the line of the photo that is shown, and its card in the tray.
func (p *Page) showProgress(id int) {
	s := p.state.Photo(id)
	if s == nil {
		return
	}
	p.tray.progress(s)
	if sel := p.state.Selected(); sel == nil || sel.ID != id {
		return
	}
	p.bar.doing.Set(s.Name + ": " + s.Doing)
	p.bar.track.Set(s.Progress)
}
