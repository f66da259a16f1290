package batches

import (
	"strings"

	"evenrim/ui/batches/ledger"
	"evenrim/ui/kit"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
)

// What tests may see and do besides the page's own methods.

func (p *Page) Say(words string)      { p.notice.say(words) }
func (p *Page) Settle()               { p.crew.Settle() }
func (p *Page) Deliver()              { p.crew.Deliver() }
func (p *Page) State() *ledger.Ledger { return p.state }
func (p *Page) Search(f ledger.Filter) {
	p.state.Filter = f
	p.search()
}
func (p *Page) More()        { p.more() }
func (p *Page) Choose(i int) { p.views[ledger.Parts].(*table).list.Select(i) }
func (p *Page) WriteNote(s string) {
	t := p.views[ledger.Parts].(*table)
	t.labels.fields[6].SetText(s)
	t.labels.write()
}
func (p *Page) labels() *labels        { return p.views[ledger.Parts].(*table).labels }
func (p *Page) Field(i int) *kit.Entry { return p.labels().fields[i] }
func (p *Page) LabelsOpen() bool       { return p.labels().content.Visible() }
func (p *Page) TableBottom() (got, want float32) {
	t := p.views[ledger.Parts].(*table)
	return t.content.(*fyne.Container).Objects[0].Size().Height, t.content.Size().Height
}
func (p *Page) Stop()        { p.notice.onTap() }
func (p *Page) Blinks() bool { return p.views[ledger.Photos].(*photos).blinking }
func (p *Page) Face() int    { return p.views[ledger.Photos].(*photos).face }

// Words returns every visible piece of text on the page.
func (p *Page) Words() string {
	return strings.Join(uitest.Words(p.content), "\n")
}
