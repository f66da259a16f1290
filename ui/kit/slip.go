package kit

import (
	"image/color"

	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Tint picks a colour from the palette in force.
type Tint func(look.Palette) color.Color

// Slip is a piece of paper that lies under its content; its colours follow the light.
type Slip struct {
	widget.BaseWidget
	Content fyne.CanvasObject
	Fill    Tint
	Edge    Tint // nil = none
	Pad     float32
	Radius  float32
}

// NewSlip lays content on raised paper with a thin edge.
func NewSlip(content fyne.CanvasObject) *Slip {
	return newSlip(&Slip{Content: content, Fill: Raised, Edge: Rule, Pad: 12, Radius: 4})
}

// NewGround lays content on a plain ground of a tint.
func NewGround(fill Tint, pad float32, content fyne.CanvasObject) *Slip {
	return newSlip(&Slip{Content: content, Fill: fill, Pad: pad})
}

func newSlip(s *Slip) *Slip {
	s.ExtendBaseWidget(s)
	return s
}

// Raised is the ground of cards and plot areas.
func Raised(p look.Palette) color.Color { return p.Raised }

// Paper is the page's ground.
func Paper(p look.Palette) color.Color { return p.Paper }

// Margin is the ground behind the page: rail and bars.
func Margin(p look.Palette) color.Color { return p.Margin }

// Rule is for borders and grid lines.
func Rule(p look.Palette) color.Color { return p.Rule }

// Ink is for text.
func Ink(p look.Palette) color.Color { return p.Ink }

// Soft is for captions.
func Soft(p look.Palette) color.Color { return p.Soft }

// Setup1 is for all that belongs to setup 1: bore and bore edge.
func Setup1(p look.Palette) color.Color { return p.Setup1 }

// Setup2 is for all that belongs to setup 2: chamfer and outer edge.
func Setup2(p look.Palette) color.Color { return p.Setup2 }

// Wash1 is setup 1's colour, thin enough to lie under words.
func Wash1(p look.Palette) color.Color { return p.Wash1 }

// Wash2 is setup 2's colour, thin enough to lie under words.
func Wash2(p look.Palette) color.Color { return p.Wash2 }

// Good is for what conforms.
func Good(p look.Palette) color.Color { return p.Good }

// Bad is for what does not conform.
func Bad(p look.Palette) color.Color { return p.Bad }

// Doubt is for what is undecided, and for warnings.
func Doubt(p look.Palette) color.Color { return p.Doubt }

// CreateRenderer implements fyne.Widget.
func (s *Slip) CreateRenderer() fyne.WidgetRenderer {
	r := &slipRenderer{s: s, back: canvas.NewRectangle(color.Transparent)}
	r.Refresh()
	return r
}

type slipRenderer struct {
	s    *Slip
	back *canvas.Rectangle
}

func (r *slipRenderer) Layout(size fyne.Size) {
	r.back.Resize(size)
	p := r.s.Pad
	r.s.Content.Move(fyne.NewPos(p, p))
	r.s.Content.Resize(fyne.NewSize(size.Width-2*p, size.Height-2*p))
}

func (r *slipRenderer) MinSize() fyne.Size {
	m := r.s.Content.MinSize()
	return fyne.NewSize(m.Width+2*r.s.Pad, m.Height+2*r.s.Pad)
}

func (r *slipRenderer) Refresh() {
	p := look.Now()
	r.back.FillColor = r.s.Fill(p)
	r.back.CornerRadius = r.s.Radius
	r.back.StrokeWidth = 0
	if r.s.Edge != nil {
		r.back.StrokeColor, r.back.StrokeWidth = r.s.Edge(p), 1
	}
	r.back.Refresh()
	r.s.Content.Refresh()
}

func (r *slipRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.back, r.s.Content}
}
func (r *slipRenderer) Destroy() {}
