package batches

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"evenrim/model/batch"
	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/model/report"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/kit"
)

func idText(id record.ID) string { return strconv.FormatInt(int64(id), 10) }

// askSave asks where to write a new file; name is a proposal.
func (p *Page) askSave(title, name string, endings []string, then func(path string)) {
	kit.AskSave(p.win, kit.FileWish{Title: title, Name: name, Endings: endings, Then: then})
}

func (p *Page) askOpen(title string, endings []string, then func(path string)) {
	kit.AskOpen(p.win, kit.FileWish{Title: title, Endings: endings, Then: then})
}

// AskList asks for a readings.csv to read.
func (p *Page) AskList() {
	p.askOpen("Open a list of photos", []string{".csv", ".CSV"}, p.OpenList)
}

// AskReport asks where to write the picked batches as pages to print.
func (p *Page) AskReport() {
	if l := p.state.Loaded; l == nil || len(l.Answers) == 0 {
		p.notice.say("Tap a batch first: the report is of the batches picked.")
		return
	}
	p.askSave("Write a report of the batches picked", "batches.pdf", []string{".pdf"}, p.Report)
}

// Report writes the picked batches as pages to print.
func (p *Page) Report(path string) {
	l, u, a := p.state.Loaded, p.state.Units, p.archive
	if l == nil {
		return
	}
	p.long("Writing the report", func(ctx context.Context, tell func(float64, string)) (func(), error) {
		panels := func(x, y batch.Batch) (out []chart.Panel) {
			for i, b := range []batch.Batch{x, y} {
				at := batch.Typical(b.Parts)
				if at < 0 || len(b.Parts[at].Readings) == 0 {
					continue
				}
				r := b.Parts[at].Readings[0]
				panel := chart.Panel{Name: report.BatchName(b.Name), Words: "part " + b.Parts[at].Name, Group: i, Reading: r}
				if p.deps.Photos != nil && r.Photo.SHA256 != "" {
					panel.Src, _ = picture(p, a, r.Photo.SHA256, r.Photo.Name) // goes without if it is gone
				}
				out = append(out, panel)
			}
			return out
		}
		now := time.Now()
		pages, err := report.BatchPages(l.Answers, u, panels, p.deps.Version, now)
		if err != nil {
			return nil, err
		}
		if l.Funnels != nil {
			pages = append(pages, &report.FunnelPage{Shows: l.Funnels, Unit: u, Version: p.deps.Version, MadeAt: now})
		}
		if err := report.Save(path, report.PaperFor(u), pages...); err != nil {
			return nil, fmt.Errorf("The report could not be written: check the disk and the folder (%w).", err)
		}
		return func() { p.notice.say(fmt.Sprintf("%s: %s.", path, ledger.Counted(len(pages), "page"))) }, nil
	})
}

// AskExport asks where to write what is found.
func (p *Page) AskExport() {
	p.askSave("Export what is found: a table (.csv), or whole with photos (.zip)", "readings.zip", []string{".zip", ".csv"}, p.Export)
}

// Export writes what is found, in the batches picked, to a new file.
func (p *Page) Export(path string) {
	q, problem := p.state.Filter.Query()
	if problem != "" {
		p.notice.say(problem)
		return
	}
	if len(p.state.Picked) > 1 {
		p.notice.say("Pick one batch to export, or none for all that is found.")
		return
	}
	if len(p.state.Picked) == 1 {
		q.Batch = p.state.Picked[0]
	}
	a := p.archive
	p.long("Exporting", func(ctx context.Context, _ func(float64, string)) (func(), error) {
		write := a.ExportZip
		if strings.EqualFold(filepath.Ext(path), ".csv") {
			write = a.ExportCSVFile
		}
		n, err := write(ctx, path, q)
		return func() { p.notice.say(ledger.Counted(n, "reading") + " exported to " + path + ".") }, err
	})
}

// AskImport asks for a file of readings.
func (p *Page) AskImport() {
	p.askOpen("Import a table or a zip of readings", []string{".csv", ".zip", ".CSV", ".ZIP"}, p.Import)
}

// Import adds the readings of a file that are not here yet.
func (p *Page) Import(path string) {
	a := p.archive
	p.long("Importing", func(ctx context.Context, _ func(float64, string)) (func(), error) {
		in, err := os.Open(path)
		if err != nil {
			return nil, fmt.Errorf("%s cannot be read: check the name and the permissions.", path)
		}
		defer in.Close()
		head := make([]byte, 4)
		if _, err := io.ReadFull(in, head); err != nil {
			head = nil // shorter: no zip
		}
		if _, err := in.Seek(0, io.SeekStart); err != nil {
			return nil, err
		}
		var res record.ImportResult
		if string(head) == "PK\x03\x04" {
			res, err = a.ImportZip(ctx, path)
		} else {
			res, err = a.ImportCSV(ctx, in)
		}
		return func() {
			words := fmt.Sprintf("%s added, %d were here already.", ledger.Counted(res.Added, "reading"), res.Known)
			var rest []string
			for _, e := range res.Errors {
				rest = append(rest, fmt.Sprintf("Row %d: %s", e.Row, e.Sentence))
			}
			rest = append(rest, res.Notes...)
			p.notice.say(words)
			p.notice.list(words, rest)
			p.search()
		}, err
	})
}

// AskBackup asks where to back up everything.
func (p *Page) AskBackup() {
	p.askSave("Back up everything to one new file", "evenrim-backup-"+time.Now().Format("2006-01-02")+".zip", []string{".zip"}, p.Backup)
}

// Backup writes the whole record to one new file.
func (p *Page) Backup(path string) {
	a := p.archive
	p.long("Backing up", func(ctx context.Context, _ func(float64, string)) (func(), error) {
		res, err := a.Backup(ctx, path)
		return func() {
			words := fmt.Sprintf("%s holds %s and %s.", path, ledger.Counted(res.Readings, "reading"), ledger.Counted(res.Photos, "photo"))
			if n := len(res.Missing); n > 0 {
				words += " " + ledger.Counted(n, "photo") + " could not be saved, damaged or gone: check the record."
			}
			p.notice.say(words)
		}, err
	})
}

// AskRestore takes two steps: which backup, into which new folder.
func (p *Page) AskRestore() {
	p.askOpen("Restore: choose the backup", []string{".zip", ".ZIP"}, func(path string) {
		kit.AskFolder(p.win, kit.FileWish{Title: "Restore: choose the folder to put the new data folder into",
			Then: func(dir string) {
				p.Restore(path, filepath.Join(dir, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))))
			}})
	})
}

// Restore unpacks a backup into a new folder; the record in use is left alone.
func (p *Page) Restore(path, dir string) {
	p.long("Restoring", func(ctx context.Context, _ func(float64, string)) (func(), error) {
		res, err := p.deps.Archives.Restore(ctx, path, dir)
		return func() {
			words := fmt.Sprintf("%s now holds %s and %s, all verified. To work with it start evenrim with --data %s.", dir, ledger.Counted(res.Readings, "reading"), ledger.Counted(res.Photos, "photo"), dir)
			if n := len(res.Damaged); n > 0 {
				words += " " + ledger.Counted(n, "photo") + " in the backup came out damaged and could not be restored; the readings are there. Copy the backup again from where it was made, or restore an older one into another folder."
			}
			p.notice.say(words)
		}, err
	})
}

// Check reads every reading and photo against its hash.
func (p *Page) Check() {
	a := p.archive
	if a == nil {
		return
	}
	p.long("Checking", func(ctx context.Context, tell func(float64, string)) (func(), error) {
		var told time.Time
		r, err := a.Check(ctx, func(done, total int) {
			if time.Since(told) > 100*time.Millisecond {
				told = time.Now()
				tell(float64(done)/float64(max(total, 1)), fmt.Sprintf("%d of %d checked", done, total))
			}
		})
		return func() {
			words := fmt.Sprintf("%s and %s checked. ", ledger.Counted(r.Readings, "reading"), ledger.Counted(r.Photos, "photo"))
			if r.Sound() {
				words += "Everything that was kept is there, whole."
			} else {
				words += "Something that was kept is damaged or gone: restore the last backup into a new folder."
			}
			p.notice.say(words)
			p.notice.list(words, append(append([]string(nil), r.Faults...), r.Remarks...))
		}, err
	})
}
