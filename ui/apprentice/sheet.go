package apprentice

import (
	"path/filepath"
	"time"

	"evenrim/model/practice"
	"evenrim/model/report"
	"evenrim/ui/kit"
)

// sheetPhotos is how many photos a trainer's sheet has.
const sheetPhotos = 8

// saveSheet asks for a place and writes the series at the person's level as pages
// to print, with the answers on the last one.
func (d *drill) saveSheet() {
	kit.AskSave(d.p.win, kit.FileWish{Title: "Save a practice sheet with answers", Name: "practice-sheet.pdf", Endings: []string{".pdf"},
		Then: d.writeSheet})
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
