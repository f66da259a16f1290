package kit

import (
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Line is one line of text in a tint, at a multiple of the body text size. It
// has no padding of its own and is never wrapped.
type Line struct {
	widget.BaseWidget
	Text   string
	Tint   Tint
	Times  float32
	Style  fyne.TextStyle
	Align  fyne.TextAlign
	Shrink bool // cut with an ellipsis instead of asking for its full width
	// Shorter says the same in fewer words, the longest first: where there is no room
	// for Text, the first that fits is shown before anything is cut.
	Shorter []string
}

// NewLine returns a line of text.
func NewLine(text string, times float32, tint Tint) *Line {
	l := &Line{Text: text, Tint: tint, Times: times}
	l.ExtendBaseWidget(l)
	return l
}

// Bold makes the line bold and returns it.
func (l *Line) Bold() *Line { l.Style.Bold = true; return l }

// Centred centres the line and returns it.
func (l *Line) Centred() *Line { l.Align = fyne.TextAlignCenter; return l }

// Cut lets the line be narrower than its text and returns it.
func (l *Line) Cut() *Line { l.Shrink = true; return l }

// Set changes the text.
func (l *Line) Set(text string) {
	if l.Text != text {
		l.Text = text
		l.Refresh()
	}
}

// SetAny changes the text to the first of these wordings that fits, the longest first.
func (l *Line) SetAny(wordings []string) {
	l.Shorter = wordings[1:]
	l.Set(wordings[0])
}

// fitted is what a line that may shrink shows at a width.
func (l *Line) fitted(width, size float32) string {
	for _, s := range append([]string{l.Text}, l.Shorter...) {
		if fyne.MeasureText(s, size, l.Style).Width <= width {
			return s
		}
	}
	if n := len(l.Shorter); n > 0 {
		return ellipsis(l.Shorter[n-1], width, size, l.Style)
	}
	return ellipsis(l.Text, width, size, l.Style)
}

// CreateRenderer implements fyne.Widget.
func (l *Line) CreateRenderer() fyne.WidgetRenderer {
	r := &lineRenderer{l: l, t: canvas.NewText("", nil)}
	r.Refresh()
	return r
}

type lineRenderer struct {
	l *Line
	t *canvas.Text
}

func (r *lineRenderer) Layout(s fyne.Size) {
	r.t.Resize(s)
	if r.l.Shrink {
		r.t.Text = r.l.fitted(s.Width, r.t.TextSize)
	}
}

func (r *lineRenderer) MinSize() fyne.Size {
	m := fyne.MeasureText(r.l.Text, letterSize(r.l.Times), r.l.Style)
	if r.l.Shrink {
		m.Width = min(m.Width, 40)
	}
	return m
}

func (r *lineRenderer) Refresh() {
	r.t.Text, r.t.TextSize, r.t.TextStyle, r.t.Alignment = r.l.Text, letterSize(r.l.Times), r.l.Style, r.l.Align
	r.t.Color = r.l.Tint(look.Now())
	if s := r.l.Size(); r.l.Shrink && s.Width > 0 {
		r.t.Text = r.l.fitted(s.Width, r.t.TextSize)
	}
	r.t.Refresh()
}

func (r *lineRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.t} }
func (r *lineRenderer) Destroy()                     {}

// ellipsis shortens text to a width by halving the search for the cut.
func ellipsis(text string, width, size float32, style fyne.TextStyle) string {
	if fyne.MeasureText(text, size, style).Width <= width {
		return text
	}
	runes := []rune(text)
	lo, hi := 0, len(runes)
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if fyne.MeasureText(string(runes[:mid])+"…", size, style).Width <= width {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return string(runes[:lo]) + "…"
}
