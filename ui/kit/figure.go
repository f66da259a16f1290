package kit

import (
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Figure is a number to be read at arm's length: letter, number, unit, as large
// as its width allows.
type Figure struct {
	widget.BaseWidget
	Letter, Number, Unit string
	// Like is the longest number of a column of figures, so that all get one size.
	Like     string
	Tint     Tint
	Min, Max float32 // text size as multiples of the body text
}

// NewFigure returns an empty figure.
func NewFigure(letter string, least, most float32) *Figure {
	f := &Figure{Letter: letter, Tint: Ink, Min: least, Max: most}
	f.ExtendBaseWidget(f)
	return f
}

// Set changes number, unit and the longest number of the column.
func (f *Figure) Set(number, unit, like string) {
	if f.Number != number || f.Unit != unit || f.Like != like {
		f.Number, f.Unit, f.Like = number, unit, like
		f.Refresh()
	}
}

// SetMove shows what to add to an offset in X and Y. An axis that can't be told from
// none has "" and is left alone: in words, not as a zero. The unit stands behind the
// last number.
func SetMove(x, y *Figure, moveX, moveY, unit string) {
	const leaveIt = "leave"
	unitX := ""
	if moveX == "" {
		moveX = leaveIt
	}
	if moveY == "" {
		moveY, unitX, unit = leaveIt, unit, ""
	}
	like := moveX
	if len(moveY) > len(like) {
		like = moveY
	}
	x.Set(moveX, unitX, like)
	y.Set(moveY, unit, like)
}

// CreateRenderer implements fyne.Widget.
func (f *Figure) CreateRenderer() fyne.WidgetRenderer {
	r := &figureRenderer{f: f, letter: canvas.NewText("", nil), number: canvas.NewText("", nil), unit: canvas.NewText("", nil)}
	r.Refresh()
	return r
}

type figureRenderer struct {
	f                    *Figure
	letter, number, unit *canvas.Text
}

var bold = fyne.TextStyle{Bold: true}

// size is the text size that fills width.
func (r *figureRenderer) size(width float32) float32 {
	const probe = 100
	body := look.Text()
	return min(max(width/r.width(probe)*probe, r.f.Min*body), r.f.Max*body)
}

// width is what the figure takes at a text size.
func (r *figureRenderer) width(size float32) float32 {
	like := r.f.Like
	if like == "" {
		like = r.f.Number
	}
	letter := fyne.MeasureText(r.f.Letter, size*0.62, fyne.TextStyle{}).Width + r.gap(size)
	unit := fyne.MeasureText(r.f.Unit, size*0.42, fyne.TextStyle{}).Width + size*0.16
	return (letter + fyne.MeasureText(like, size, bold).Width + unit) / 0.96
}

// gap is what lies between letter and number; a number alone begins where the words above
// and below it do.
func (r *figureRenderer) gap(size float32) float32 {
	if r.f.Letter == "" {
		return 0
	}
	return size * 0.22
}

func (r *figureRenderer) Layout(s fyne.Size) {
	size := r.size(s.Width)
	p := look.Now()
	r.letter.Text, r.letter.TextSize, r.letter.Color = r.f.Letter, size*0.62, p.Soft
	r.number.Text, r.number.TextSize, r.number.Color, r.number.TextStyle = r.f.Number, size, r.f.Tint(p), bold
	r.unit.Text, r.unit.TextSize, r.unit.Color = r.f.Unit, size*0.42, p.Soft
	// One baseline, which is at a fixed share of a text box: 0.945 of 0.945 + look.tailRoom.
	n := r.number.MinSize()
	const baseline = 0.77
	base := (s.Height-n.Height)/2 + n.Height*baseline
	x := float32(0)
	for _, t := range []*canvas.Text{r.letter, r.number, r.unit} {
		m := t.MinSize()
		t.Resize(m)
		t.Move(fyne.NewPos(x, base-m.Height*baseline))
		switch t {
		case r.letter:
			x += m.Width + r.gap(size)
		case r.number:
			x += m.Width + size*0.16
		}
	}
}

func (r *figureRenderer) MinSize() fyne.Size {
	size := r.f.Min * look.Text()
	if w := r.f.Size().Width; w > 0 {
		size = r.size(w)
	}
	h := fyne.MeasureText("0", size, bold).Height
	return fyne.NewSize(r.width(r.f.Min*look.Text()), h)
}

func (r *figureRenderer) Refresh() {
	r.Layout(r.f.Size())
	r.letter.Refresh()
	r.number.Refresh()
	r.unit.Refresh()
}

func (r *figureRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.letter, r.number, r.unit}
}
func (r *figureRenderer) Destroy() {}
