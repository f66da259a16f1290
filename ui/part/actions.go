package part

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"path/filepath"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/report"
	"evenrim/model/whole"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/part/worksheet"
	"evenrim/ui/port"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
)

// maxList is the largest list that is opened.
const maxList = model.MaxListBytes

// OpenSample lays the part that ships with the program on the page.
func (p *Page) OpenSample() {
	if p.deps.Sample == nil {
		return
	}
	p.replace("Show the sample part", func() {
		p.files = p.deps.Sample.Photos
		err := p.state.OpenReadings(p.deps.Sample.Readings, "", "sample", p.files)
		if err == nil {
			err = p.state.OpenWalls(p.deps.Sample.Walls)
		}
		p.opened(err)
	})
}

// replace puts another part in the place of the one on the page, once that may go.
func (p *Page) replace(do string, then func()) {
	if !p.state.Unsaved() {
		then()
		return
	}
	kit.Confirm(p.win, "Replace this part?",
		"What was typed and added here is not saved, and there is no way back. Save the part as lists first if you need it again.", do, then)
}

func (p *Page) opened(err error) {
	p.notice.hide()
	switch {
	case err != nil:
		p.notice.say(model.AsRefusal(err).Sentence)
	case len(p.state.Notes) > 0:
		notes := p.state.Notes
		words := strings.Join(notes[:min(len(notes), 4)], "\n")
		if len(notes) > 4 {
			words += fmt.Sprintf("\nand %d more.", len(notes)-4)
		}
		p.notice.say(words)
	}
	p.changed()
}

// OpenList lays a list on the page: of photos, or of walls beside what is there.
func (p *Page) OpenList(path string) { p.openList(path, func() {}) }

// openList goes on to then once the list is there or cannot be read; not if the part on the
// page is to stay.
func (p *Page) openList(path string, then func()) {
	data, err := readList(path)
	if err != nil {
		then()
		p.notice.say(err.Error())
		return
	}
	do := "Open " + filepath.Base(path)
	if worksheet.IsWalls(data) {
		walls := func() {
			p.state.Notes = nil
			p.opened(p.state.OpenWalls(data))
			then()
		}
		if len(p.state.Walls) == 0 {
			walls() // beside the holes: nothing goes
			return
		}
		p.replace(do, walls)
		return
	}
	p.replace(do, func() {
		p.state.Notes, p.files = nil, nil
		p.opened(p.state.OpenReadings(data, filepath.Dir(path), strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)), nil))
		then()
	})
}

func readList(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: check the name and the permissions.", filepath.Base(path))
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxList+1))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w.", filepath.Base(path), err)
	}
	if len(data) > maxList {
		return nil, fmt.Errorf("%s is larger than any list of photos.", filepath.Base(path))
	}
	return data, nil
}

// OpenURIs takes lists, and photos as one hole each, from a drop.
func (p *Page) OpenURIs(uris []fyne.URI) {
	var photos, lists []string
	for _, u := range uris {
		if u == nil || u.Scheme() != "file" {
			continue
		}
		path := filepath.FromSlash(strings.TrimPrefix(u.Path(), "//"))
		if strings.EqualFold(filepath.Ext(path), ".csv") {
			lists = append(lists, path)
		} else {
			photos = append(photos, path)
		}
	}
	p.openAll(lists, func() { p.addPhotos(photos) })
}

// openAll opens lists one after the other, as each may have to ask.
func (p *Page) openAll(lists []string, then func()) {
	if len(lists) == 0 {
		then()
		return
	}
	p.openList(lists[0], func() { p.openAll(lists[1:], then) })
}

// addPhotos gives the chosen hole the first photo if it has none, and each other one a hole.
func (p *Page) addPhotos(photos []string) {
	for _, path := range photos {
		h := p.state.Hole()
		if h == nil || len(h.Photos) > 0 {
			h = p.state.AddHole()
		}
		p.state.AddPhoto(h, port.Source{Path: path, Name: filepath.Base(path)})
	}
	p.changed()
}

// AskOpen asks for a list.
func (p *Page) AskOpen() {
	p.askFile("Open a list of photos (readings.csv) or of walls (walls.csv)", []string{".csv", ".CSV"}, p.OpenList)
}

// AskPhoto asks for a photo of a hole.
func (p *Page) AskPhoto(h *worksheet.Hole) {
	p.askFile("Open a photo of hole "+h.Name, bench.Extensions, func(path string) {
		p.state.AddPhoto(h, port.Source{Path: path, Name: filepath.Base(path)})
		p.changed()
	})
}

func (p *Page) askFile(title string, endings []string, then func(path string)) {
	kit.AskOpen(p.win, kit.FileWish{Title: title, Endings: endings, Then: then})
}

// AskKept offers the readings kept last for a hole.
func (p *Page) AskKept(h *worksheet.Hole) {
	p.crew.Go(func() {
		kept, err := p.deps.Keeper.Last(p.ctx, 100)
		p.crew.Do(func() {
			if err != nil {
				p.notice.say(err.Error())
				return
			}
			if len(kept) == 0 {
				p.notice.say("Nothing has been kept yet: what the Bench page reads comes into the record by itself.")
				return
			}
			var s *kit.Sheet
			column := kit.Column(2)
			for _, k := range kept {
				icon, _ := verdictLook(k.Verdict)
				l := state.KeptLine(k, p.state.Units)
				t := kit.NewTap(kit.Tall(kit.Row(10, 1, kit.NewSign(icon, 1.5), kit.Column(1, kit.NewProse(l.Name, 1, kit.Ink), kit.NewProse(l.Words+"  "+l.When, 0.9, kit.Soft))), 0, touch-16), func() {
					s.Hide()
					p.TakeKept(h, k.ID)
				})
				t.Edge = kit.Rule
				column.Add(t)
			}
			s = kit.Read(p.win, "A reading for hole "+h.Name, column, 640*look.Zoom())
		})
	})
}

// TakeKept gives a hole a reading from the record.
func (p *Page) TakeKept(h *worksheet.Hole, id string) {
	p.crew.Go(func() {
		r, src, err := p.deps.Keeper.Reopen(p.ctx, id)
		p.crew.Do(func() {
			if err != nil {
				p.notice.say(err.Error())
				return
			}
			p.state.AddReading(h, r, src, id)
			p.state.WorkOut()
			p.changed()
		})
	})
}

// AskSave asks where to write the part as lists.
func (p *Page) AskSave() {
	if p.state.Empty() {
		return
	}
	kit.AskSave(p.win, kit.FileWish{Title: "Save the part: lists that can be opened again", Name: p.state.FileBase() + ".csv", Endings: []string{".csv"},
		Files: p.pathsOf, Then: p.Save})
}

// pathsOf are the paths of all files that the part is saved in.
func (p *Page) pathsOf(path string) (all []string) {
	lists, photos := p.filesOf(path)
	for _, f := range append(lists, photos...) {
		all = append(all, f.path)
	}
	return all
}

// file is one of those that a part is saved in.
type file struct {
	path string
	data []byte
}

// filesOf are the lists that the part is saved in under a path: NAME.csv of photos,
// NAME-walls.csv of walls, NAME-results.csv of what was worked out; and photos that are in
// no folder, in NAME-photos.
func (p *Page) filesOf(path string) (lists, photos []file) {
	stem := strings.TrimSuffix(path, filepath.Ext(path))
	folder := stem + "-photos"
	taken := map[string]bool{}
	readings := p.state.ReadingsCSV(func(ph *worksheet.Photo) string {
		if ph.Source.Data == nil {
			if abs, err := filepath.Abs(ph.Source.Path); err == nil {
				return abs
			}
			return ph.Source.Path
		}
		name := filepath.Base(ph.Name())
		for n := 2; taken[name]; n++ {
			name = fmt.Sprintf("%d-%s", n, filepath.Base(ph.Name()))
		}
		taken[name] = true
		photos = append(photos, file{filepath.Join(folder, name), ph.Source.Data})
		return filepath.Base(folder) + "/" + name
	})
	if len(p.state.Photos()) == 0 {
		readings = nil
	}
	for _, f := range []file{{stem + ".csv", readings}, {stem + "-walls.csv", p.state.WallsCSV()}, {stem + "-results.csv", p.state.ResultsCSV()}} {
		if f.data != nil {
			lists = append(lists, f)
		}
	}
	return lists, photos
}

// Save writes the part as lists, and the photos that are in no folder first.
func (p *Page) Save(path string) {
	lists, photos := p.filesOf(path)
	var said []string
	for _, f := range lists {
		said = append(said, filepath.Base(f.path))
	}
	saved := p.state.Saving()
	p.crew.Go(func() {
		var err error
		for _, f := range append(photos, lists...) {
			if err = errors.Join(os.MkdirAll(filepath.Dir(f.path), 0o755), whole.Bytes(f.path, 0o644, f.data)); err != nil {
				break
			}
		}
		p.crew.Do(func() {
			if err != nil {
				p.notice.say("The part could not be saved: check the disk and the folder. " + err.Error())
				return
			}
			saved()
			p.notice.say("Saved: " + strings.Join(said, ", ") + " in " + filepath.Dir(path) + ".")
		})
	})
}

// AskReport asks where to write the part's page.
func (p *Page) AskReport() {
	if p.state.Report != nil {
		kit.AskSave(p.win, kit.FileWish{Title: "Write the part as a page to print", Name: p.state.FileBase() + ".pdf", Endings: []string{".pdf"}, Then: p.Report})
	}
}

// Report writes the part as a page to print.
func (p *Page) Report(path string) {
	s := p.state
	if s.Report == nil {
		return
	}
	sources := map[string]port.Source{}
	for _, ph := range s.Photos() {
		if ph.Reading != nil {
			sources[ph.Reading.Photo.SHA256] = ph.Source
		}
	}
	page := &report.PartPage{Fit: s.Report.Fit, Job: s.Report.Job, Outline: s.Outline(), Version: p.deps.Version, Labels: report.Labels{Part: s.Name}, Advice: &s.Report.Advice, Causes: s.Report.Causes}
	p.crew.Go(func() {
		shots := map[string]*image.RGBA{}
		page.Photo = func(r *model.Reading) *image.RGBA {
			if shot, done := shots[r.Photo.SHA256]; done {
				return shot
			}
			var shot *image.RGBA
			if src, ok := sources[r.Photo.SHA256]; ok {
				if pic, err := p.deps.Photos.Open(context.WithoutCancel(p.ctx), src); err == nil {
					shot = pic.RGBA()
					pic.Close()
				}
			}
			shots[r.Photo.SHA256] = shot // a photo that is gone leaves its place empty
			return shot
		}
		paper := report.PaperFor(chart.UnitOf(page.Job.ShowInch))
		err := report.Save(path, paper, report.WithRest(paper, page)...)
		p.crew.Do(func() {
			if err != nil {
				p.notice.say("The report could not be written: check the disk and the folder. " + err.Error())
				return
			}
			p.notice.say("Written: " + path)
		})
	})
}
