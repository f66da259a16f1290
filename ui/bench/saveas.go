package bench

import (
	"context"
	"image"
	"path/filepath"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/report"
	"evenrim/ui/kit"
	"evenrim/ui/port"
	"evenrim/ui/state"
)

// shownReading is the reading in view with its photo's pixels, which may be nil.
func (p *Page) shownReading() (*state.Photo, *model.Reading, *image.RGBA) {
	s := p.state.Selected()
	if s == nil || s.Reading == nil {
		return nil, nil, nil
	}
	var src *image.RGBA
	if pyramid := p.shelf.pictures[s.ID]; pyramid != nil {
		src = pyramid.Photo()
	}
	return s, s.Reading, src
}

// baseName is a file name without its ending.
func baseName(name string) string {
	b := filepath.Base(name)
	return strings.TrimSuffix(b, filepath.Ext(b))
}

// SaveReport asks where to and writes what the sheet shows, a reading or a turn set, as
// one page to print.
func (p *Page) SaveReport() {
	if t := p.turnsInView(); t != nil {
		p.saveTurnReport(t)
		return
	}
	s, r, src := p.shownReading()
	if r == nil {
		p.tell("Report", "There is no reading to print yet.")
		return
	}
	kit.AskSave(p.win, kit.FileWish{Title: "Save the report", Name: baseName(s.Name) + ".pdf", Endings: []string{".pdf"}, FolderPref: folderPref,
		Then: func(path string) { p.writeReport(path, s, r, src) }})
}

func (p *Page) writeReport(path string, s *state.Photo, r *model.Reading, src *image.RGBA) {
	kept := s.Kept
	paper := report.PaperFor(p.state.Units)
	rr := *r
	rr.Job.ShowInch = p.state.Units == state.Inch
	p.crew.Go(func() {
		err := report.Save(path, paper, &report.ReadingPage{Reading: &rr, Photo: src, Labels: p.labelsOf(kept)})
		p.crew.Do(func() { p.written(err, "Report", "The report is in "+path+".") })
	})
}

// labelsOf is what the record says of what was kept under that name, for a page to print;
// it asks the record, so off the UI goroutine.
func (p *Page) labelsOf(kept string) report.Labels {
	if kept == "" || kept == state.BeingKept {
		return report.Labels{}
	}
	if d, ok := p.deps.Keeper.(port.Describer); ok {
		if l, err := d.Describe(context.Background(), kept); err == nil {
			return l
		}
	}
	return report.Labels{Record: kept} // the page says what is known
}

// SavePlots asks for a folder and writes each picture of the reading there.
func (p *Page) SavePlots() {
	s, r, src := p.shownReading()
	if r == nil {
		p.tell("Pictures", "There is no reading to draw yet.")
		return
	}
	kit.AskFolder(p.win, kit.FileWish{Title: "Save the pictures in a folder", FolderPref: folderPref,
		Files: func(dir string) (all []string) {
			for _, plot := range report.Plots(r, src, chart.Print()) {
				all = append(all, filepath.Join(dir, baseName(s.Name)+"-"+plot.Name+"."+string(chart.PNG)))
			}
			return all
		},
		Then: func(dir string) { p.writePlots(dir, s, r, src) }})
}

func (p *Page) writePlots(dir string, s *state.Photo, r *model.Reading, src *image.RGBA) {
	base := baseName(s.Name)
	rr := *r
	rr.Job.ShowInch = p.state.Units == state.Inch
	p.crew.Go(func() {
		paths, err := report.SavePlots(dir, base, report.Plots(&rr, src, chart.Print()), chart.PNG)
		var names []string
		for _, path := range paths {
			names = append(names, filepath.Base(path))
		}
		p.crew.Do(func() {
			p.written(err, "Pictures", "In "+dir+":\n"+strings.Join(names, "\n"))
		})
	})
}

func (p *Page) written(err error, title, words string) {
	if err != nil {
		words = "It could not be written: " + err.Error() + ". Choose another folder."
	}
	p.tell(title, words)
}

func (p *Page) tell(title, words string) { kit.Tell(p.win, title, words) }
