package apprentice

import (
	"path/filepath"
	"strings"
	"time"

	"evenrim/model/practice"
	"evenrim/model/report"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
)

// sheetPhotos is how many photos a trainer's sheet has.
const sheetPhotos = 8

// saveSheet asks for a place and writes the series at the person's level as pages
// to print, with the answers on the last one.
func (d *drill) saveSheet() {
	s := dialog.NewFileSave(func(f fyne.URIWriteCloser, err error) {
		if err != nil || f == nil {
			if err != nil {
				d.p.complain("Trainer's sheet", err)
			}
			return
		}
		f.Close()
		path := filepath.FromSlash(f.URI().Path())
		if !strings.EqualFold(filepath.Ext(path), ".pdf") {
			path += ".pdf"
		}
		d.writeSheet(path)
	}, d.p.win)
	s.SetTitleText("Save a practice sheet with answers")
	s.SetFileName("practice-sheet.pdf")
	s.SetFilter(storage.NewExtensionFileFilter([]string{".pdf"}))
	size := d.p.win.Canvas().Size()
	s.Resize(fyne.NewSize(size.Width*0.8, size.Height*0.8))
	s.Show()
}

// writeSheet draws the photos and writes the pages.
func (d *drill) writeSheet(path string) {
	seed, level, u := d.seed, d.p.progress.Level(), d.p.units
	sheet := &report.PracticeSheet{Inch: u.String() == "in", Version: d.p.deps.Version, MadeAt: time.Now()}
	d.doing.Set("drawing the practice sheet")
	d.p.crew.Go(func() {
		err := func() error {
			for n := 1; n <= sheetPhotos; n++ {
				e := practice.NewExercise(seed, n, level)
				shot, err := d.p.deps.Studio.Shoot(d.p.ctx, e.Shot)
				if err != nil {
					return err
				}
				sheet.Exercises = append(sheet.Exercises, e)
				sheet.Photos = append(sheet.Photos, shot.Photo)
			}
			return report.Save(path, report.PaperFor(u), sheet.Pages()...)
		}()
		d.p.crew.Do(func() {
			if err != nil {
				d.doing.Set("")
				d.p.complain("Trainer's sheet", err)
				return
			}
			d.doing.Set("saved " + filepath.Base(path))
		})
	})
}
