// Package planner is the page for deciding before the cut and before the photo: will
// this flip hold, which chamfer shows it, how to photograph, picking up again. What
// is asked and answered is package draft's; this package lays it out and runs the
// work.
package planner

import (
	"context"
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"
	"time"

	"evenrim/model/chart"
	"evenrim/model/practice"
	"evenrim/model/report"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/planner/draft"
	"evenrim/ui/port"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// Deps is what the page works with.
type Deps struct {
	Eyes    port.Threshold // nil = nobody was tested
	Version string
	Inch    bool // units to begin with
	// Prefs remembers what was typed; nil = nothing is.
	Prefs fyne.Preferences
	Now   func() time.Time // nil = time.Now
}

const touch = 44

// Preferences: what was typed, never results.
const (
	typedPref = "planner.typed"
	inchPref  = "planner.inch"
)

// Page is the Planner page. All methods are for the UI goroutine.
type Page struct {
	deps  Deps
	win   fyne.Window
	crew  *kit.Crew
	draft *draft.Draft

	section draft.Section
	tabs    map[draft.Section]*kit.Tap
	units   *kit.Button
	form    *form
	answer  *answerView
	notice  *kit.Prose
	content fyne.CanvasObject

	busy, closed bool
	resting      *time.Timer // until what was typed is remembered
	wish         int         // generations of what is asked for
	// OnUnits is told when the units shown have changed here.
	OnUnits func(chart.Unit)
}

// New builds the page.
func New(win fyne.Window, deps Deps) *Page {
	if deps.Now == nil {
		deps.Now = time.Now
	}
	p := &Page{deps: deps, win: win, crew: &kit.Crew{}, draft: draft.New(), section: draft.Flip}
	p.draft.Units = chart.UnitOf(deps.Inch)
	p.restore()
	p.form = newForm(p)
	p.answer = newAnswerView(p)
	p.notice = kit.NewProse("", 0.9, kit.Ink)
	p.notice.Hide()
	p.content = p.arrange()
	p.turnTo(draft.Flip)
	return p
}

// Content is the page's view.
func (p *Page) Content() fyne.CanvasObject { return p.content }

// Title names what the page shows.
func (p *Page) Title() string { return "Planner" }

// Show is called each time that the page comes into view: eyes may have been tested
// since.
func (p *Page) Show() {
	if p.deps.Eyes == nil {
		return
	}
	p.crew.Go(func() {
		list, err := p.deps.Eyes.Thresholds(context.Background())
		p.crew.Do(func() { p.eyes(list, err) })
	})
}

func (p *Page) eyes(list []practice.Threshold, err error) {
	if err != nil {
		p.say("What the eyes in the shop catch could not be looked up: " + err.Error())
		return
	}
	p.draft.People(list)
	if p.section == draft.Chamfer {
		p.form.show(p.section)
		p.plan()
	}
}

// Typed is a plain letter: 1 to 4 turn to a section, U swaps units, P prints.
func (p *Page) Typed(r rune) {
	switch r {
	case '1', '2', '3', '4':
		p.turnTo(draft.Sections[r-'1'])
	case 'u', 'U':
		p.swapUnits()
	case 'p', 'P':
		p.askSheet()
	}
}

// TypedKey is another key.
func (p *Page) TypedKey(k fyne.KeyName) {
	at := 0
	for i, s := range draft.Sections {
		if s == p.section {
			at = i
		}
	}
	switch k {
	case fyne.KeyPageDown:
		at++
	case fyne.KeyPageUp:
		at--
	default:
		return
	}
	p.turnTo(draft.Sections[(at+len(draft.Sections))%len(draft.Sections)])
}

// Close ends the page's work and remembers what was typed.
func (p *Page) Close() {
	if p.closed {
		return
	}
	p.closed = true
	if p.resting != nil {
		p.resting.Stop()
	}
	p.remember()
	p.crew.Wait()
}

// restTyping is how long the fields must stand unchanged until they are remembered: each
// time a file is written.
const restTyping = time.Second

// rememberSoon remembers what was typed once the hand rests, not only when the page is
// closed: a program that is killed closes nothing.
func (p *Page) rememberSoon() {
	if p.resting != nil {
		p.resting.Stop()
	}
	p.resting = time.AfterFunc(restTyping, func() {
		p.crew.Do(func() {
			if !p.closed {
				p.remember()
			}
		})
	})
}

func (p *Page) remember() {
	if p.deps.Prefs == nil {
		return
	}
	// Only what changed: each write is a new file of preferences.
	b, err := json.Marshal(p.draft.Typed())
	if old := p.deps.Prefs.String(typedPref); err == nil && string(b) != old && (old != "" || len(p.draft.Typed()) > 0) {
		p.deps.Prefs.SetString(typedPref, string(b))
	}
	// Bare numbers were typed in these units.
	if inch := p.draft.Units == chart.Inch; inch != p.deps.Prefs.BoolWithFallback(inchPref, p.deps.Inch) {
		p.deps.Prefs.SetBool(inchPref, inch)
	}
}

func (p *Page) restore() {
	if p.deps.Prefs == nil {
		return
	}
	p.draft.Units = chart.UnitOf(p.deps.Prefs.BoolWithFallback(inchPref, p.deps.Inch))
	var typed map[string]string
	if json.Unmarshal([]byte(p.deps.Prefs.String(typedPref)), &typed) == nil {
		p.draft.Restore(typed)
	}
}

// turnTo shows a section.
func (p *Page) turnTo(s draft.Section) {
	p.section = s
	for k, t := range p.tabs {
		t.Select(k == s)
	}
	p.say("")
	p.answer.clear()
	p.form.show(s)
	p.plan()
}

// edit takes what was typed into a field.
func (p *Page) edit(key, text string) {
	p.draft.Set(key, text)
	p.form.edited(key)
	p.plan()
	p.rememberSoon()
}

func (p *Page) swapUnits() { p.ShowIn(1 - p.draft.Units) }

// ShowIn changes the units shown.
func (p *Page) ShowIn(u chart.Unit) {
	if u == p.draft.Units {
		return
	}
	p.draft.ShowIn(u)
	p.units.SetText(u.String())
	p.form.show(p.section)
	p.plan()
	p.rememberSoon()
	if p.OnUnits != nil {
		p.OnUnits(u)
	}
}

// plan makes the section's plan, off the UI goroutine, one at a time, the newest
// wish last.
func (p *Page) plan() {
	p.wish++
	m, err := p.draft.Prepare(p.section)
	p.form.problems(p.draft.Problems(p.section))
	if err != nil {
		p.answer.problem(err)
		return
	}
	if p.busy || p.closed {
		return
	}
	p.busy = true
	gen := p.wish
	p.crew.Go(func() {
		made, err := m()
		p.crew.Do(func() {
			p.busy = false
			switch {
			case p.closed:
			case gen != p.wish:
				p.plan()
			case err != nil:
				var all draft.Problems
				if errors.As(err, &all) {
					p.form.problems(map[string]string{all[0].Key: all[0].Sentence})
				}
				p.answer.problem(err)
			default:
				p.answer.show(made)
			}
		})
	})
}

// askSheet asks where to write the setup sheet.
func (p *Page) askSheet() {
	kit.AskSave(p.win, kit.FileWish{Title: "Write a setup sheet", Name: "setup-sheet.pdf", Endings: []string{".pdf"}, Then: p.saveSheet})
}

// saveSheet writes all sections whose fields can be read as one PDF.
func (p *Page) saveSheet(path string) {
	at := p.deps.Now()
	d := draft.New()
	d.Units = p.draft.Units
	d.Restore(p.draft.Typed())
	d.People(p.draft.Tested())
	p.say("Writing the setup sheet…")
	p.crew.Go(func() {
		pages, err := d.Sheets(p.deps.Version, at)
		if err == nil {
			err = report.Save(path, report.PaperFor(d.Units), pages...)
		}
		p.crew.Do(func() {
			if err != nil {
				p.say("The setup sheet could not be written: " + err.Error())
				return
			}
			words := "Setup sheet written: " + filepath.Base(path) + "."
			if n := len(draft.Sections) - len(pages); n > 0 {
				words += " Sections with something left to mend are not on it."
			}
			p.say(words)
		})
	})
}

func (p *Page) say(words string) {
	if p.notice == nil {
		return
	}
	p.notice.Set(words)
	if strings.TrimSpace(words) == "" {
		p.notice.Hide()
	} else {
		p.notice.Show()
	}
	if p.content != nil {
		p.content.Refresh()
	}
}

// arrange lays the page out: questions on top, fields left, answer right.
func (p *Page) arrange() fyne.CanvasObject {
	p.tabs = map[draft.Section]*kit.Tap{}
	var row []fyne.CanvasObject
	for i, s := range draft.Sections {
		t := kit.NewTap(kit.NewProse(string(rune('1'+i))+"  "+s.Short(), 1, kit.Ink).Centred(), func() { p.turnTo(s) })
		t.BarSide, t.Pad = kit.BarTop, 11
		p.tabs[s] = t
		row = append(row, kit.Tall(t, 0, touch))
	}
	p.units = kit.NewButton(p.draft.Units.String(), p.swapUnits)
	sheet := kit.NewButtonWithIcon("Setup sheet (PDF)", look.IconReport, p.askSheet)
	tabs := kit.NewGround(kit.Margin, 0, container.NewGridWithColumns(len(row), row...))
	// On the margin's tint, which is a button's own, nobody would take them for buttons.
	foot := kit.NewGround(kit.Paper, 6, kit.Column(4, p.notice, kit.Ends(8, kit.Tall(sheet, 0, touch), kit.Tall(p.units, 54, touch))))
	body := &fyne.Container{Layout: sides{}, Objects: []fyne.CanvasObject{p.form.content, kit.NewGround(kit.Rule, 0, container.NewStack()), p.answer.content}}
	return kit.NewGround(kit.Paper, 0, container.NewBorder(tabs, foot, nil, nil, body))
}

// sides gives the form what its fields need and the answer the rest.
type sides struct{}

func (sides) Layout(o []fyne.CanvasObject, s fyne.Size) {
	z := look.Zoom()
	form := min(max(s.Width*0.34, 360*z), s.Width*0.46)
	o[0].Move(fyne.NewPos(0, 0))
	o[0].Resize(fyne.NewSize(form, s.Height))
	o[1].Move(fyne.NewPos(form, 0))
	o[1].Resize(fyne.NewSize(1, s.Height))
	o[2].Move(fyne.NewPos(form+1, 0))
	o[2].Resize(fyne.NewSize(s.Width-form-1, s.Height))
}

func (sides) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(760, 420) }
