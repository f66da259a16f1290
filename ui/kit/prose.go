package kit

import (
	"math"
	"strings"
	"unicode"

	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Prose is text wrapped to the width it gets, in a tint, at a multiple of the body
// text size. Unlike the toolkit's label it has no padding of its own, so that it
// stands flush with figures and lines.
type Prose struct {
	widget.BaseWidget
	Text  string
	Tint  Tint
	Times float32
	Style fyne.TextStyle
	Align fyne.TextAlign
	Most  int // lines; what is over ends in an ellipsis. 0 = as many as there are
}

// NewProse returns wrapped text.
func NewProse(text string, times float32, tint Tint) *Prose {
	p := &Prose{Text: text, Tint: tint, Times: times}
	p.ExtendBaseWidget(p)
	return p
}

// Bold makes the text bold and returns it.
func (p *Prose) Bold() *Prose { p.Style.Bold = true; return p }

// AtMost limits the lines and returns the text.
func (p *Prose) AtMost(lines int) *Prose { p.Most = lines; return p }

// Centred centres the text, in width and in what height it gets, and returns it.
func (p *Prose) Centred() *Prose { p.Align = fyne.TextAlignCenter; return p }

// Set changes the text.
func (p *Prose) Set(text string) {
	if p.Text != text {
		p.Text = text
		p.Refresh()
	}
}

// CreateRenderer implements fyne.Widget.
func (p *Prose) CreateRenderer() fyne.WidgetRenderer {
	r := &proseRenderer{p: p}
	r.Refresh()
	return r
}

// proseWidth is what text asks for before it knows its width.
const proseWidth = 120

type proseRenderer struct {
	p     *Prose
	lines []*canvas.Text
	text  string // wrapped for this text, width and size
	width float32
	size  float32
}

// Measure is the size of words in one line of this text.
func (p *Prose) Measure(words string) fyne.Size {
	return fyne.MeasureText(words, letterSize(p.Times), p.Style)
}

func (r *proseRenderer) wrap(width float32) {
	size := letterSize(r.p.Times)
	if r.text == r.p.Text && r.width == width && r.size == size {
		return
	}
	r.text, r.width, r.size = r.p.Text, width, size
	wrapped := Wrap(r.p.Text, width, func(s string) float32 { return r.p.Measure(s).Width })
	if most := r.p.Most; most > 0 && len(wrapped) > most {
		wrapped = append(wrapped[:most-1], ellipsis(strings.Join(wrapped[most-1:], " "), width, size, r.p.Style))
	}
	r.lines = r.lines[:0]
	for _, s := range wrapped {
		r.lines = append(r.lines, canvas.NewText(s, nil))
	}
	r.dress()
}

func (r *proseRenderer) dress() {
	c := r.p.Tint(look.Now())
	for _, t := range r.lines {
		t.Color, t.TextSize, t.TextStyle, t.Alignment = c, r.size, r.p.Style, r.p.Align
	}
}

func (r *proseRenderer) Layout(s fyne.Size) {
	r.wrap(s.Width)
	h, top := r.lineHeight(), float32(0)
	if r.p.Align == fyne.TextAlignCenter {
		top = max(halfOf(s.Height-float32(len(r.lines))*h), 0)
	}
	for i, t := range r.lines {
		t.Move(fyne.NewPos(0, top+float32(i)*h))
		t.Resize(fyne.NewSize(s.Width, h))
	}
}

// lineHeight is whole: between pixels the screen would lose the tails of g and p.
func (r *proseRenderer) lineHeight() float32 {
	h := fyne.MeasureText("M", letterSize(r.p.Times), r.p.Style).Height
	return float32(math.Ceil(float64(h)))
}

func (r *proseRenderer) MinSize() fyne.Size {
	w := r.p.Size().Width
	if w <= 0 {
		w = proseWidth
	}
	r.wrap(w)
	return fyne.NewSize(proseWidth, float32(max(len(r.lines), 1))*r.lineHeight())
}

func (r *proseRenderer) Refresh() {
	r.text = "\x00" // forces wrapping
	r.Layout(r.p.Size())
	r.dress()
	canvas.Refresh(r.p)
}

func (r *proseRenderer) Objects() []fyne.CanvasObject {
	o := make([]fyne.CanvasObject, len(r.lines))
	for i, t := range r.lines {
		o[i] = t
	}
	return o
}
func (r *proseRenderer) Destroy() {}

// Wrap breaks text into lines no wider than width by measure, a number and its sign or
// unit never apart while they fit; a word that is wider stands alone, broken where it
// must be.
func Wrap(text string, width float32, measure func(string) float32) []string {
	var out []string
	for _, para := range strings.Split(text, "\n") {
		line := ""
		for _, word := range pieces(para, func(s string) bool { return measure(s) <= width }) {
			try := word
			if line != "" {
				try = line + " " + word
			}
			if measure(try) <= width {
				line = try
				continue
			}
			if line != "" {
				out = append(out, line)
			}
			for line = word; line != "" && measure(line) > width; {
				n := fitting(line, width, measure)
				out = append(out, line[:n])
				line = line[n:]
			}
		}
		out = append(out, line)
	}
	return out
}

// pieces are the parts of a line between which it may break: words, with a number held
// to the ± before it and the unit behind it, and what a hard space holds together. A
// piece that doesn't fit comes as its words.
func pieces(para string, fits func(string) bool) []string {
	var out []string
	for _, w := range strings.FieldsFunc(para, func(r rune) bool { return r != '\u00a0' && unicode.IsSpace(r) }) {
		if n := len(out); n > 0 && (strings.HasSuffix(out[n-1], "±") || isUnit(w) && endsInDigit(out[n-1])) {
			if both := out[n-1] + " " + w; fits(both) {
				out[n-1] = both
				continue
			}
		}
		if !strings.ContainsRune(w, '\u00a0') || fits(w) {
			out = append(out, w)
		} else {
			out = append(out, strings.Fields(w)...) // hard spaces too
		}
	}
	return out
}

func isUnit(word string) bool {
	switch strings.TrimRight(word, ".,;:)") {
	case "mm", "in", "thou", "µm", "µin", "px", "s", "K", "%", "°", "o'clock":
		return true
	}
	return false
}

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

// fitting is how many bytes of a word fit, at least one rune.
func fitting(word string, width float32, measure func(string) float32) int {
	last, seam := 0, 0
	for i := range word {
		if i > 0 && measure(word[:i]) > width {
			break
		}
		if i > 0 {
			last = i
			if strings.ContainsRune("-_/.", rune(word[i-1])) {
				seam = i
			}
		}
	}
	if seam*3 > last { // names of files part at their seams, unless too little is left
		return seam
	}
	if last == 0 { // not even one rune, or one rune only
		for i := range word {
			if i > 0 {
				return i
			}
		}
		return len(word)
	}
	return last
}
