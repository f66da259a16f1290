package bench

import (
	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/photo"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// helping is what a person does where the finder is wrong: the tools on a slip
// over the photo, and the one in hand.
type helping struct {
	p       *Page
	content *kit.Slip
	words   *kit.Prose
	tools   map[toolKind]*kit.Tap
	undo    *kit.Button
	redo    *kit.Button
	none    *fyne.Container // the button "Without help"; hidden it takes no room

	open bool
	kind toolKind
	// What is being drawn, on top of the overlay.
	ring *photo.Ring
	band *photo.Band
}

type toolKind int

const (
	noTool toolKind = iota
	circleTool
	pullTool
	brushTool
	pickTool // among places that look alike
)

var toolWords = map[toolKind]string{
	noTool:     "Wrong edges? Help the finder. The reading will say so.",
	circleTool: "Press in the hole's middle, drag out to its edge.",
	pullTool:   "Take hold of a rim and pull it to where the edge is.",
	brushTool:  "Drag along dirt, burr or glare on the rim: it is left out.",
	pickTool:   "Which is the hole? Press the one that is meant, or type its number.",
}

func newHelping(p *Page) *helping {
	h := &helping{p: p, tools: map[toolKind]*kit.Tap{}}
	h.words = kit.NewProse("", 0.95, kit.Ink)
	tool := func(k toolKind, name string) fyne.CanvasObject {
		t := kit.NewTap(kit.Tall(container.NewCenter(kit.NewLine(name, 0.95, kit.Ink)), 0, touch-16), func() { h.take(k) })
		t.Fill, t.Edge, t.BarSide = kit.Paper, kit.Rule, kit.NoBar
		h.tools[k] = t
		return t
	}
	h.undo = kit.NewButtonWithIcon("", look.IconUndo, p.Undo)
	h.redo = kit.NewButtonWithIcon("", look.IconRedo, p.Redo)
	h.none = kit.Tall(kit.NewButton("Without help", func() { p.apply(p.state.WithoutHelp()) }), 0, touch)
	shut := kit.NewButtonWithIcon("", look.IconCancel, p.ToggleHelp)
	shut.Importance = widget.LowImportance
	tools := kit.Flow(6, tool(circleTool, "Draw the hole"), tool(pullTool, "Pull a rim"), tool(brushTool, "Brush out"))
	slip := kit.NewSlip(kit.Column(6, tools, kit.Beside(8, 200, h.words,
		kit.Wrapped(6, h.none, kit.Row(6, -1, kit.Tall(h.undo, touch, touch), kit.Tall(h.redo, touch, touch), kit.Tall(shut, touch, touch))))))
	slip.Pad = 8
	h.content = kit.NewGround(kit.Paper, 6, slip)
	h.content.Hide()
	return h
}

// ToggleHelp shows or hides the tools for helping the finder.
func (p *Page) ToggleHelp() {
	p.help.open = !p.help.open
	p.help.take(noTool)
}

// Help takes a tool in hand.
func (p *Page) Help(k toolKind) {
	p.help.open = true
	p.help.kind = noTool
	p.help.take(k)
}

// ChoosePlace takes the place of that number for the hole, where the finder asks which
// it is.
func (p *Page) ChoosePlace(n int) bool {
	s := p.state.Selected()
	if p.help.now() != pickTool || n < 1 || n > len(s.Spots) {
		return false
	}
	p.apply(p.state.Choose(n))
	return true
}

// DrawHole, PullRim and BrushOut take one of the help's tools in hand, or lay it down when
// it is there already.
func (p *Page) DrawHole() { p.Help(circleTool) }
func (p *Page) PullRim()  { p.Help(pullTool) }
func (p *Page) BrushOut() { p.Help(brushTool) }

// take takes a tool in hand, or lays it down when it is there already.
func (h *helping) take(k toolKind) {
	if h.kind == k {
		k = noTool
	}
	h.kind, h.ring, h.band = k, nil, nil
	h.p.refresh()
}

// now is the tool that counts: picking among places offers itself.
func (h *helping) now() toolKind {
	s := h.p.state.Selected()
	if s == nil || h.p.shown != s.ID || h.p.deps.helper() == nil {
		return noTool
	}
	if s.Stage == state.Refused && len(s.Spots) > 0 && h.kind == noTool {
		return pickTool
	}
	return h.kind
}

func (h *helping) refresh() {
	now := h.now()
	s := h.p.state.Selected()
	if s == nil || h.p.deps.helper() == nil || !(h.open || now == pickTool) {
		h.content.Hide()
	} else {
		h.content.Show()
	}
	h.words.Set(toolWords[now])
	if look.Zoom() >= 1.5 { // with text that large the photo needs the room
		h.words.Hide()
	} else {
		h.words.Show()
	}
	for k, t := range h.tools {
		t.Select(k == now)
	}
	enable(h.undo, h.p.state.CanUndo())
	enable(h.redo, h.p.state.CanRedo())
	if s != nil && s.Help.Any() {
		h.none.Show()
	} else {
		h.none.Hide()
	}
	if now == noTool {
		h.p.viewer.Tool = nil
	} else {
		h.p.viewer.Tool = &handTool{h: h, kind: now}
	}
	h.content.Refresh()
}

func enable(b *kit.Button, on bool) {
	switch {
	case on && b.Disabled():
		b.Enable()
	case !on && !b.Disabled():
		b.Disable()
	}
}

// Undo and Redo travel through what was changed by hand: help and job card.
func (p *Page) Undo() { p.travelled(p.state.Undo()) }
func (p *Page) Redo() { p.travelled(p.state.Redo()) }

func (p *Page) travelled(e state.Effects) {
	p.card.reload()
	p.apply(e)
}

// over adds what a person set, and what is being drawn, to the overlay.
func (h *helping) over(s *state.Photo, o *photo.Overlay) {
	now := h.now()
	if now != noTool {
		o.Axes = nil // in the way of the tool
		o.Marks = nil
	}
	if c, ok := state.HoleOf(s); ok {
		for _, a := range s.Help.LeaveOut {
			o.Bands = append(o.Bands, bandOf(c, a))
		}
	}
	if c := s.Help.Hole; c != nil && (s.Trace == nil || now == circleTool) {
		o.Rings = append(o.Rings, photo.Ring{Circle: *c, Colour: chart.PhotoSetup2, Dashed: true})
	}
	if s.Stage == state.Refused {
		for i, c := range s.Spots {
			o.Rings = append(o.Rings, photo.Ring{Circle: c, Colour: chart.PhotoSetup2, Words: string(rune('1' + i))})
		}
	}
	if h.ring != nil {
		o.Rings = append(o.Rings, *h.ring)
	}
	if h.band != nil {
		o.Bands = append(o.Bands, *h.band)
	}
}

func bandOf(c model.Circle, a model.Arc) photo.Band {
	return photo.Band{Centre: model.Vec{X: c.X, Y: c.Y}, Inner: 0.84 * c.R, OuterPx: 1.1 * c.R, Arc: a}
}

// handTool is the tool in hand at work on the photo.
type handTool struct {
	h     *helping
	kind  toolKind
	from  model.Vec
	pxDev float64 // photo px a device px
	hole  model.Circle
	has   bool
	turn  float64 // brushed so far, from the first direction
	first float64
	last  float64
}

// Press implements photo.Tool.
func (t *handTool) Press(px, py, pxPerDevice float64) {
	t.from, t.pxDev = model.Vec{X: px, Y: py}, pxPerDevice
	s := t.h.p.state.Selected()
	if s == nil {
		return
	}
	t.hole, t.has = state.HoleOf(s)
	switch t.kind {
	case brushTool:
		t.first = state.DirectionFrom(t.hole, t.from)
		t.turn, t.last = 0, t.first
	case pickTool:
		if n := state.SpotAt(s.Spots, t.from); n > 0 {
			t.h.p.apply(t.h.p.state.Choose(n))
		}
	}
}

// Drag implements photo.Tool.
func (t *handTool) Drag(px, py float64) {
	at := model.Vec{X: px, Y: py}
	switch {
	case t.kind == circleTool, t.kind == pullTool && !t.has:
		t.draw(model.Circle{X: t.from.X, Y: t.from.Y, R: at.Sub(t.from).Norm()})
	case t.kind == pullTool:
		t.draw(state.Pulled(t.hole, t.from, at))
	case t.kind == brushTool && t.has:
		d := state.DirectionFrom(t.hole, at)
		t.turn += model.Turn(t.last, d)
		t.last = d
		b := bandOf(t.hole, t.brushed())
		t.h.band = &b
		t.h.p.showOverlay()
	}
}

func (t *handTool) draw(c model.Circle) {
	t.h.ring = &photo.Ring{Circle: c, Colour: chart.PhotoSetup2, Bold: true}
	t.h.p.showOverlay()
}

func (t *handTool) brushed() model.Arc {
	return model.Arc{CentreRad: t.first + t.turn/2, WidthRad: max(t.turn, -t.turn)}
}

// Release implements photo.Tool.
func (t *handTool) Release() {
	ring, band := t.h.ring, t.h.band
	t.h.ring, t.h.band = nil, nil
	switch {
	case ring != nil && ring.Circle.R > 10*t.pxDev:
		t.h.kind = noTool
		t.h.p.apply(t.h.p.state.PointOut(ring.Circle))
	case band != nil:
		t.h.p.apply(t.h.p.state.Brush(t.brushed()))
	default:
		t.h.p.showOverlay()
	}
}

// Escape takes back what is in the way: an explanation, a tool, a run.
func (p *Page) Escape() {
	switch {
	case p.shut != nil:
		p.shut()
	case p.help.kind != noTool:
		p.help.take(noTool)
	case p.help.open:
		p.ToggleHelp()
	default:
		p.Cancel()
	}
}
