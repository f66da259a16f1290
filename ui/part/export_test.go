package part

import (
	"evenrim/ui/kit"
	"evenrim/ui/part/worksheet"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
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
	return uitest.Words(o)
}

// Entry is the visible entry below a label.
func (p *Page) Entry(label string) *kit.Entry {
	var found *kit.Entry
	named := false
	uitest.Walk(p.content, func(o fyne.CanvasObject) bool {
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
	uitest.Walk(on, func(o fyne.CanvasObject) bool {
		if b, ok := o.(*kit.Button); ok && b.Text == words && !found {
			found = true
			b.OnTapped()
			return false
		}
		return !found
	})
	return found
}
