package apprentice

import (
	"context"
	"path/filepath"
	"strings"

	"evenrim/model/practice"
	"evenrim/model/whole"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// progressView is who practises, how they come along, and the way out for their
// entries: as a table, or deleted.
type progressView struct {
	p      *Page
	name   *kit.Entry
	people *fyne.Container
	head   *kit.Prose
	words  [4]*kit.Prose
	marks  *kit.Drawing
	eyes   *kit.Drawing
	none   *kit.Prose
	export *kit.Button
	forget *kit.Button
	ways   *fyne.Container
	sheet  *fyne.Container
	box    fyne.CanvasObject
}

func newProgress(p *Page) *progressView {
	v := &progressView{p: p}
	v.name = kit.NewEntry()
	v.name.SetPlaceHolder("a nickname will do")
	v.name.SetText(p.person)
	v.name.OnSubmitted = func(s string) {
		p.setPerson(nickname(s))
		p.win.Canvas().Unfocus() // the keys are the page's again
	}
	use := kit.NewButton("That's me", func() { p.setPerson(nickname(v.name.Text)) })
	use.Importance = widget.HighImportance
	v.people = flow(6)
	v.head = kit.NewProse("", 1.6, kit.Ink).Bold()
	for i := range v.words {
		v.words[i] = kit.NewProse("", 1.05, kit.Ink)
	}
	v.none = kit.NewProse("Without a name nothing is kept. With one, marks and eye tests stay in this shop's own record on this computer, nowhere else, and are deleted when you say so.", 1, kit.Soft)
	v.export = kit.NewButton("Save as a table…", v.saveTable)
	v.forget = kit.NewButton("Delete all of it…", v.askForget)
	v.ways = flow(8, kit.Tall(v.export, 0, touch), kit.Tall(v.forget, 0, touch))
	left := kit.Column(12,
		kit.NewLine("Who practises?", 0.9, kit.Soft),
		kit.Row(8, 0, kit.Tall(v.name, 120, touch), kit.Tall(use, 0, touch)),
		v.people, v.none, v.head,
		v.words[0], v.words[1], v.words[2], v.words[3],
		v.ways)
	v.marks = kit.NewDrawing(p.crew, fyne.NewSize(280, 250))
	v.eyes = kit.NewDrawing(p.crew, fyne.NewSize(280, 250))
	right := kit.Column(14, v.marks, v.eyes)
	v.sheet, _ = paper(kit.NewGround(kit.Paper, 20, pages(24, 340, left, right)))
	v.box = container.NewStack(v.sheet)
	return v
}

// nickname trims a name to what fits a line.
func nickname(s string) string {
	r := []rune(strings.Join(strings.Fields(s), " "))
	return string(r[:min(len(r), 40)])
}

func (v *progressView) content() fyne.CanvasObject { return v.box }
func (v *progressView) show()                      { v.p.reload() }
func (v *progressView) typed(rune)                 {}
func (v *progressView) key(fyne.KeyName)           {}

func (v *progressView) refresh() {
	p := v.p
	if v.name.Text != p.person && p.win.Canvas() != nil && p.win.Canvas().Focused() != v.name {
		v.name.SetText(p.person)
	}
	v.people.Objects = nil
	for _, name := range p.people {
		t := kit.NewTap(kit.Tall(container.NewCenter(kit.NewLine(name, 0.95, kit.Ink)), 0, touch-16), func() {
			v.name.SetText(name)
			p.setPerson(name)
		})
		t.Edge, t.BarSide, t.Selected = kit.Rule, kit.NoBar, name == p.person
		v.people.Add(t)
	}
	s := study.ProgressWords(p.progress, len(p.deps.Lessons), p.units)
	if p.person == "" {
		v.none.Show()
		v.head.Set("Today, without a name")
		v.ways.Hide()
	} else {
		v.none.Hide()
		v.head.Set(p.person + ": " + strings.ToLower(s.Level))
		v.ways.Show()
	}
	marks := s.Marks
	if s.Weak != "" {
		marks += ". " + s.Weak
	}
	for i, w := range []string{marks + ".", s.Eye + ".", s.Lessons + "."} {
		v.words[i].Set(w)
	}
	v.words[3].Set("Three good answers in a row make the photos harder, two poor ones easier.")
	if r, ok := study.MarksRun(p.progress); ok {
		v.marks.Paint(runPainter(r))
		v.marks.Show()
	} else {
		v.marks.Hide()
	}
	if r, ok := study.EyeRun(p.progress); ok {
		v.eyes.Paint(runPainter(r))
		v.eyes.Show()
	} else {
		v.eyes.Hide()
	}
	v.sheet.Refresh()
	v.sheet.Layout.Layout(v.sheet.Objects, v.sheet.Size())
}

// saveTable writes the person's entries as CSV.
func (v *progressView) saveTable() {
	progress := v.p.progress
	kit.AskSave(v.p.win, kit.FileWish{Title: "Save the progress as a table", Name: filepath.Base(fileName(progress)), Endings: []string{".csv"},
		Then: func(path string) {
			if err := whole.File(path, 0o644, progress.WriteCSV); err != nil {
				v.p.complain("Save as a table", err)
			}
		}})
}

func fileName(p practice.Progress) string {
	safe := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) || r < ' ' {
			return '-'
		}
		return r
	}, p.Person)
	return "practice-" + strings.ReplaceAll(safe, " ", "-") + ".csv"
}

// askForget deletes the person's entries once they are sure.
func (v *progressView) askForget() {
	name := v.p.person
	kit.Confirm(v.p.win, "Delete all of "+name+"'s practice?", "Marks, eye tests and lessons of "+name+" are deleted for good. Readings of parts stay.",
		"Delete", func() { v.forgetNow(name) })
}

func (v *progressView) forgetNow(name string) {
	p := v.p
	if p.deps.Diary == nil {
		return
	}
	p.crew.Go(func() {
		err := p.deps.Diary.Forget(context.WithoutCancel(p.ctx), name)
		p.crew.Do(func() {
			if err != nil {
				p.complain("Not deleted", err)
				return
			}
			v.name.SetText("")
			p.setPerson("")
		})
	})
}
