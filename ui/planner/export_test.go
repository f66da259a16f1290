package planner

import (
	"strings"

	"evenrim/ui/kit"
	"evenrim/ui/planner/draft"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
)

// What tests may see and do besides the page's own methods.

func (p *Page) Settle()                   { p.crew.Settle() }
func (p *Page) TurnTo(s draft.Section)    { p.turnTo(s) }
func (p *Page) Section() draft.Section    { return p.section }
func (p *Page) SaveSheet(path string)     { p.saveSheet(path) }
func (p *Page) Answered() bool            { return p.answer.shown }
func (p *Page) Entry(k string) *kit.Entry { return p.form.fields[k].entry }
func (p *Page) Choose(k, text string)     { p.form.choose(k, text) }
func (p *Page) List(k string) *kit.Select { return p.form.fields[k].selects }
func (p *Page) UnitsShown() string        { return p.units.Text }

// Words are every visible piece of text on the page, wrapped text joined.
func (p *Page) Words() string {
	var out []string
	walk(p.content, func(o fyne.CanvasObject) bool {
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
	return strings.Join(out, "\n")
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
