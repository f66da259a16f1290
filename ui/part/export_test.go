package part

import (
	"evenrim/ui/kit"
	"evenrim/ui/part/worksheet"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
)

// What tests may see and do besides the page's own methods.

func (p *Page) Say(words string)             { p.notice.say(words) }
func (p *Page) Settle()                      { p.crew.Settle() }
func (p *Page) Deliver()                     { p.crew.Deliver() }
func (p *Page) Sheet() *worksheet.Sheet      { return p.state }
func (p *Page) Turn(tab int)                 { p.rows.turn(tab) }
func (p *Page) ChoosePart(n string)          { p.bar.parts.SetSelected(n) }
func (p *Page) Tap(row int)                  { p.rows.views[row].tap.OnTap() }
func (p *Page) TapNumber(i int)              { p.answer.figures[i].tap.OnTap() }
func (p *Page) FilesOf(path string) []string { return p.pathsOf(path) }

// Words returns every visible piece of text below o; nil = on the page.
func (p *Page) Words(o fyne.CanvasObject) []string {
	if o == nil {
		o = p.content
	}
	var out []string
	walk(o, func(o fyne.CanvasObject) bool {
		switch w := o.(type) {
		case *kit.Prose:
			out = append(out, w.Text)
			return false
		case *kit.Line:
			out = append(out, w.Text)
			return false
		case *canvas.Text:
			out = append(out, w.Text)
		case *kit.Entry:
			out = append(out, w.Text)
			return false
		}
		return true
	})
	return out
}

// Entry is the visible entry below a label.
func (p *Page) Entry(label string) *kit.Entry {
	var found *kit.Entry
	named := false
	walk(p.content, func(o fyne.CanvasObject) bool {
		switch w := o.(type) {
		case *kit.Line:
			named = w.Text == label
			return false
		case *kit.Entry:
			if named && found == nil {
				found = w
			}
			named = false
			return false
		}
		return true
	})
	return found
}

// Press taps the visible button of these words, on what lies over the page if something
// does; it says whether there is one.
func (p *Page) Press(words string) bool {
	on := p.content
	if top := p.win.Canvas().Overlays().Top(); top != nil {
		on = top
	}
	found := false
	walk(on, func(o fyne.CanvasObject) bool {
		if b, ok := o.(*kit.Button); ok && b.Text == words && !found {
			found = true
			b.OnTapped()
			return false
		}
		return !found
	})
	return found
}

func walk(o fyne.CanvasObject, f func(fyne.CanvasObject) bool) {
	if o == nil || !o.Visible() || !f(o) {
		return
	}
	switch w := o.(type) {
	case *fyne.Container:
		for _, c := range w.Objects {
			walk(c, f)
		}
	case fyne.Widget:
		for _, c := range test.WidgetRenderer(w).Objects() {
			walk(c, f)
		}
	}
}
