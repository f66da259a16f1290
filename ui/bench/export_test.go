package bench

import (
	"strings"
	"time"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/kit"
	"evenrim/ui/photo"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// What tests may see and do besides the page's own methods.

func (p *Page) Settle()             { p.crew.Settle() }
func (p *Page) TrayOffset() float32 { return p.tray.scroll.Offset.X }
func (p *Page) Deliver()            { p.crew.Deliver() }

// Words returns every visible piece of text on the page, wrapped text joined.
func (p *Page) Words() []string {
	return uitest.Words(p.content)
}

// Drag presses the mouse at the first photo point, moves over the others and lets go,
// as the toolkit tells it.
func (p *Page) Drag(at ...[2]float64) {
	v := p.viewer
	mouse := func(q [2]float64) *desktop.MouseEvent {
		x, y := v.View().ToDevice(q[0], q[1])
		e := &desktop.MouseEvent{Button: desktop.MouseButtonPrimary}
		e.Position = fyne.NewPos(float32(x+0.5), float32(y+0.5)) // the tests' screen has a device pixel a unit
		return e
	}
	v.MouseDown(mouse(at[0]))
	for _, q := range at[1:] {
		e := mouse(q)
		v.Dragged(&fyne.DragEvent{PointEvent: e.PointEvent})
	}
	v.MouseUp(mouse(at[len(at)-1]))
	v.DragEnd()
}

// ShowsPhoto says whether the picture of the photo selected is in the viewer.
func (p *Page) ShowsPhoto() bool {
	s := p.state.Selected()
	return s != nil && p.shown == s.ID && p.shelf.pictures[s.ID] != nil
}

func (p *Page) Slips() int { return len(p.tray.slips) }

// Type writes into a field of the job card.
func (p *Page) Type(field, text string) { p.card.fields[state.Field(field)].entry.SetText(text) }

func (p *Page) Duplicate(i int) { p.shelfOfCards.duplicate(p.shelfOfCards.cards[i]) }
func (p *Page) Take(i int)      { p.shelfOfCards.take(p.shelfOfCards.cards[i]) }

// DialogWords are the words of what lies over the page.
func (p *Page) DialogWords() []string {
	var out []string
	for _, o := range p.win.Canvas().Overlays().List() {
		uitest.Walk(o, func(o fyne.CanvasObject) bool {
			switch w := o.(type) {
			case *kit.Prose:
				out = append(out, w.Text)
			case *kit.Line:
				out = append(out, w.Text)
			}
			return true
		})
	}
	return out
}

func (p *Page) WriteReport(path string) {
	if t := p.turnsInView(); t != nil {
		p.writeTurnReport(path, t)
		return
	}
	s, r, src := p.shownReading()
	p.writeReport(path, s, r, src)
}

func (p *Page) WritePlots(dir string) {
	s, r, src := p.shownReading()
	p.writePlots(dir, s, r, src)
}

// Solved waits for the new result alone, not for plots or the record.
func (p *Page) Solved() {
	for {
		p.Deliver()
		p.work.mu.Lock()
		busy := p.work.solving
		p.work.mu.Unlock()
		if !busy {
			p.Deliver()
			return
		}
		time.Sleep(100 * time.Microsecond)
	}
}

// OpenShelf opens or shuts the list of kept job cards.
func (p *Page) OpenShelf() { p.shelfOfCards.toggle() }

// SetTurns chooses how many photos make the turn set.
func (p *Page) SetTurns(n int) { p.setTurns(n) }

func (p *Page) AskDelete(i int) { p.shelfOfCards.askDelete(p.shelfOfCards.cards[i]) }

// ChooseForTurns presses “Use the photo shown”.
func (p *Page) ChooseForTurns() { p.guide.use.OnTapped() }

// Joined is what the turn set in view says together.
func (p *Page) Joined() *model.Reading { return p.state.Turns.Joined }

// SelectedCard is the card that the photo shown is read by.
func (p *Page) SelectedCard() model.JobCard { return p.state.Selected().Card }

// LabelsOf is what stands on the page of what was kept under that name.
func (p *Page) LabelsOf(kept string) report.Labels { return p.labelsOf(kept) }

// Hint is what an empty field of the job card shows.
func (p *Page) Hint(f state.Field) string { return p.card.fields[f].entry.PlaceHolder }

// Arrow is the +X arrow over the photo shown; nil = none.
func (p *Page) Arrow() *photo.Axes { return overlayOf(p.state.Selected(), p.state.Units).Axes }

// Sees says whether words with these in them are on the job card and not scrolled away.
func (p *Page) Sees(words string) (seen bool) {
	d := fyne.CurrentApp().Driver()
	s := p.card.content
	top := d.AbsolutePositionForObject(s).Y
	if !p.drawer.content.Visible() {
		return false
	}
	uitest.Walk(s, func(o fyne.CanvasObject) bool {
		if w, ok := o.(*kit.Prose); ok && strings.Contains(w.Text, words) {
			y := d.AbsolutePositionForObject(o).Y
			seen = seen || y >= top && y+o.Size().Height <= top+s.Size().Height+0.5
		}
		return true
	})
	return seen
}
