package apprentice

import (
	"path/filepath"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/port"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// along opens an own photo as a lesson: the person predicts, then the program's
// reading is shown.
type along struct {
	p       *Page
	view    *quizView
	form    state.CardForm
	entries map[state.Field]*kit.Entry
	fields  *fyne.Container // the entries: out of the way once a photo is open
	card    *fyne.Container // the button that brings them back
	wrong   *kit.Prose
	hint    *kit.Prose
	source  *port.Source
	run     int
	sample  int // which one is next
	box     fyne.CanvasObject
}

const folderPref = "apprentice.folder"

var alongFields = []struct {
	field state.Field
	name  string
	hint  map[chart.Unit]string // the tolerance's is what an empty field means
}{
	{state.Bore, "Bore", map[chart.Unit]string{chart.MM: "10 mm", chart.Inch: "0.4 in"}},
	{state.Chamfer, "Chamfer", map[chart.Unit]string{chart.MM: "0.25 mm", chart.Inch: "0.01 in"}},
	{state.Thickness, "Thickness", map[chart.Unit]string{chart.MM: "if known", chart.Inch: "if known"}},
	{state.Tolerance, "Tolerance", map[chart.Unit]string{chart.MM: "0.0254 mm", chart.Inch: "0.001 in"}},
}

func newAlong(p *Page) *along {
	a := &along{p: p, entries: map[state.Field]*kit.Entry{}, form: state.FormOf(model.JobCard{ShowInch: p.units == chart.Inch})}
	open := kit.NewButton("Open a photo…", a.ask)
	open.Importance = widget.HighImportance
	a.fields = flow(8)
	for _, f := range alongFields {
		e := kit.NewEntry()
		e.SetPlaceHolder(f.hint[p.units])
		e.OnChanged = func(text string) {
			a.form.Set(f.field, text)
			a.check()
		}
		e.OnSubmitted = func(string) { a.begin() }
		a.entries[f.field] = e
		a.fields.Add(wide(kit.Column(2, kit.NewLine(f.name, 0.85, kit.Soft), kit.Tall(e, 0, touch)), 116))
	}
	a.wrong = kit.NewProse("", 0.9, kit.Bad)
	a.hint = kit.NewProse("Say what the drawing says, then open a photo of your own. You predict first; the program reads it meanwhile and keeps quiet until you have answered.", 1, kit.Soft)
	sample := kit.Tall(kit.NewButton("Try a sample", a.trySample), 0, touch)
	if len(p.deps.Samples) == 0 {
		sample.Hide()
	}
	a.card = kit.Tall(kit.NewButtonWithIcon("Job card", look.IconCard, func() { a.showCard(!a.fields.Visible()) }), 0, touch)
	a.card.Hide()
	above := kit.NewGround(kit.Paper, 8, kit.Column(4, line(8, kit.Tall(open, 0, touch), sample, a.card), a.fields, a.wrong, a.hint))
	a.view = newQuizView(p, above, nil, "Another photo")
	a.view.onNext = a.ask
	a.view.onDone = func(done practice.Done) { p.keep(practice.Entry{Exercise: &done}) }
	a.box = container.NewStack(a.view.box)
	a.wrong.Hide()
	return a
}

func (a *along) content() fyne.CanvasObject { return a.box }
func (a *along) show()                      {}

func (a *along) typed(r rune) {
	if r == 'o' || r == 'O' {
		a.ask()
		return
	}
	a.view.typed(r)
}

func (a *along) key(k fyne.KeyName) { a.view.key(k) }

func (a *along) refresh() {
	if a.form.Units != a.p.units {
		a.form.ShowIn(a.p.units) // what was typed without a unit keeps its meaning
		for _, f := range alongFields {
			e := a.entries[f.field]
			e.SetPlaceHolder(f.hint[a.p.units])
			e.SetText(a.form.Text(f.field))
		}
	}
	a.view.refresh()
}

// Dropped takes a photo that was dropped on the page while it reads along; false
// when it doesn't.
func (p *Page) Dropped(uris []fyne.URI) bool {
	a, ok := p.sections[p.open].(*along)
	if !ok {
		return false
	}
	for _, u := range uris {
		if u != nil && u.Scheme() == "file" {
			a.open(port.Source{Path: filepath.FromSlash(u.Path())})
			return true
		}
	}
	return false
}

// showCard opens or closes the card's fields.
func (a *along) showCard(on bool) {
	if on {
		a.fields.Show()
	} else {
		a.fields.Hide()
	}
	a.box.Refresh()
}

// check says what is wrong with the card while it is typed.
func (a *along) check() {
	if _, err := a.form.Card(); err != nil && !a.form.Clean() {
		a.wrong.Set(err.Error())
		a.wrong.Show()
	} else {
		a.wrong.Hide()
	}
	a.box.Refresh()
}

// ask opens the dialog for a photo.
func (a *along) ask() {
	kit.AskOpen(a.p.win, kit.FileWish{Title: "Open a photo to judge", Endings: bench.Extensions, FolderPref: folderPref,
		Then: func(path string) {
			fyne.CurrentApp().Preferences().SetString(folderPref, filepath.Dir(path))
			a.open(port.Source{Path: path})
		}})
}

// trySample opens the next of the photos that ship with the program.
func (a *along) trySample() {
	s := a.p.deps.Samples[a.sample%len(a.p.deps.Samples)]
	a.sample++
	s.Card.ShowInch = a.p.units == chart.Inch
	a.form = state.FormOf(s.Card)
	for f, e := range a.entries {
		e.SetText(a.form.Text(f))
	}
	a.open(s.Photo)
}

// open takes a photo; without a bore it asks for that first.
func (a *along) open(s port.Source) {
	a.source = &s
	a.begin()
}

// begin shows the photo and its questions, and has the program read it meanwhile.
func (a *along) begin() {
	if a.source == nil {
		return
	}
	card, err := a.form.Card()
	if err != nil || card.BoreMM <= 0 || card.ChamferMM <= 0 {
		a.wrong.Set("Say the bore and the chamfer's width first, as on the drawing; then press Return in the field.")
		if err != nil && !a.form.Clean() {
			a.wrong.Set(err.Error())
		}
		a.wrong.Show()
		a.showCard(true)
		if c := a.p.win.Canvas(); c != nil {
			c.Focus(a.entries[state.Bore])
		}
		return
	}
	a.wrong.Hide()
	a.run++
	run, s := a.run, *a.source
	a.hint.Set("opening " + nameOf(s))
	a.p.crew.Go(func() {
		pic, err := a.p.deps.Photos.Open(a.p.ctx, s)
		if err != nil {
			a.p.crew.Do(func() {
				if run == a.run {
					a.hint.Set(sentence(err))
				}
			})
			return
		}
		defer pic.Close()
		q := study.NewOwn(nameOf(s), card, a.p.units)
		a.p.crew.Do(func() {
			if run == a.run {
				a.hint.Set("Predict first. The rims stay hidden until you have answered.")
				a.card.Show()
				a.showCard(false)
				a.view.set(q, pic.RGBA(), nil)
			}
		})
		r, refused := a.p.readPicture(pic, card)
		a.p.crew.Do(func() {
			if run != a.run {
				return
			}
			if q.Refused = refused; r != nil {
				k := practice.KeyOf(r)
				q.Key, a.view.read = &k, r
			}
			a.view.refresh()
		})
	})
}

func nameOf(s port.Source) string {
	if s.Name != "" {
		return s.Name
	}
	return filepath.Base(s.Path)
}
