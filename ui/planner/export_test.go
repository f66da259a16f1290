package planner

import (
	"strings"

	"evenrim/ui/kit"
	"evenrim/ui/planner/draft"
	"evenrim/ui/uitest"
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
	return strings.Join(uitest.Words(p.content), "\n")
}
