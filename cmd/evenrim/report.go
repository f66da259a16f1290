package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/model/report"
	"evenrim/vision"
)

func newReportCmd(a *app) *cobra.Command {
	v := &reportVerb{app: a}
	cmd := &cobra.Command{
		Use:   "report [flags] PHOTO... --out FILE.pdf",
		Short: "Write readings as pages to print",
		Long: `Reads photos, or takes readings that were kept, and writes one page each: photo
with rims, unrolled rim, target map, uncertainty budget, verdict and correction in
words, inputs and origin. A part of several holes in a list gets a page of its own
before them. A photo without a reading gets a page that says why.`,
		Example: `  evenrim report --bore 10mm --chamfer 0.25mm bracket.jpg --out bracket.pdf
  evenrim report --list readings.csv --out parts.pdf --plots pictures
  evenrim report --record 17 --record 18 --out kept.pdf
  evenrim report --record T3 --out turned.pdf`,
		RunE: func(cmd *cobra.Command, args []string) error { return v.run(cmd.Context(), args) },
	}
	f := cmd.Flags()
	addJobFlags(f, &v.job)
	f.StringVar(&v.list, "list", "", "read the photos named in this `csv file`, with its own columns for the flags")
	f.StringArrayVar(&v.records, "record", nil, "the `number` of a kept reading, or of a turn set (T3); may be given again")
	f.StringVar(&v.to, "out", "", "the PDF `file` to write")
	f.StringVar(&v.plots, "plots", "", "also write each picture as PNG into this `folder`")
	f.Var(&choiceFlag{&v.paper, []string{"a4", "letter"}}, "paper", "sheet, `a4 or letter` (default: letter for inches, else a4)")
	return cmd
}

type reportVerb struct {
	*app
	job       model.JobCard
	list      string
	records   []string
	to, plots string
	paper     string
}

// sheets collects the pages of a report in order.
type sheets struct {
	pages  []report.Page
	plots  []plotSet
	missed int
	inch   bool // the first page shows inches
	close  func()
}

// plotSet is what is written as pictures for one reading.
type plotSet struct {
	base    string
	reading *model.Reading
	load    func() *image.RGBA
}

func (v *reportVerb) run(ctx context.Context, photos []string) error {
	if err := v.check(photos); err != nil {
		return err
	}
	s := sheets{close: func() {}}
	defer func() { s.close() }()
	var err error
	if len(v.records) > 0 {
		err = v.fromRecord(ctx, &s)
	} else {
		err = v.fromPhotos(ctx, photos, &s)
	}
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	paper := v.sheet(s.inch)
	pages := report.WithRest(paper, s.pages...)
	if err := report.Save(v.to, paper, pages...); err != nil {
		return cannotWrite(v.to, err)
	}
	v.say("%s: %s.", v.to, counted(len(pages), "page"))
	if err := v.writePlots(ctx, &s); err != nil {
		return err
	}
	if s.missed > 0 {
		return errMissed
	}
	return nil
}

// check catches wrong use before any photo is read.
func (v *reportVerb) check(photos []string) error {
	switch {
	case v.to == "":
		return usage("Say where to write the report, for example --out bracket.pdf.")
	case len(v.records) > 0 && (len(photos) > 0 || v.list != ""):
		return usage("Give photos, --list or --record, one of them.")
	}
	if err := checkPDF("out", v.to); err != nil {
		return err
	}
	return checkPlots(v.plots)
}

// checkPDF catches a name under which no PDF can be written, before the work for it.
func checkPDF(flag, path string) error {
	if !strings.EqualFold(filepath.Ext(path), ".pdf") {
		return usage("--%s: %s must end with .pdf, the only kind that is written.", flag, path)
	}
	if isDir(path) {
		return usage("--%s: %s is a folder: name a file in it.", flag, path)
	}
	if dir := filepath.Dir(path); !isDir(dir) {
		return usage("--%s: There is no folder %s: make it first, or name another.", flag, dir)
	}
	return nil
}

// checkPlots catches a folder that neither is there nor can be made.
func checkPlots(dir string) error {
	if dir == "" || isDir(dir) {
		return nil
	}
	if _, err := os.Stat(dir); err == nil {
		return usage("--plots: %s is a file: name a folder.", dir)
	}
	if parent := filepath.Dir(filepath.Clean(dir)); !isDir(parent) {
		return usage("--plots: There is no folder %s: make it first, or name another.", parent)
	}
	return nil
}

// makePlots makes the folder for pictures where it is missing.
func makePlots(dir string) error {
	if err := os.Mkdir(dir, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return cannotWrite(dir, err)
	}
	return nil
}

func isDir(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

func (v *reportVerb) sheet(inch bool) report.Paper {
	switch v.paper {
	case "a4":
		return report.A4
	case "letter":
		return report.Letter
	}
	return report.PaperFor(chart.UnitOf(inch))
}

func cannotWrite(path string, err error) error {
	why := "check the disk and the folder"
	if errors.Is(err, fs.ErrPermission) {
		why = "this folder may not be written to: name another"
	}
	return fmt.Errorf("%s could not be written: %s (%w).", path, why, err)
}

// fromPhotos reads the photos and makes a page of each, and one of each part
// with more than one hole or turn.
func (v *reportVerb) fromPhotos(ctx context.Context, photos []string, s *sheets) error {
	reader := readVerb{app: v.app, job: v.job, list: v.list}
	rows, err := reader.rows(photos)
	if err != nil {
		return err
	}
	b := newPartBook()
	workers := runtime.GOMAXPROCS(0)
	err = inOrder(len(rows), workers, 4*workers, func(i int) result {
		if rows[i].Err != nil {
			return result{err: rows[i].Err}
		}
		return readPhoto(ctx, rows[i].Path, rows[i].Job, false)
	}, func(i int, res result) error {
		row := rows[i]
		if errors.Is(res.err, context.Canceled) {
			return res.err
		}
		if i == 0 {
			s.inch = row.Job.ShowInch
		}
		labels := report.Labels{Part: row.Part, Hole: row.Hole, Batch: row.Batch, Note: row.Note}
		if res.err != nil {
			s.missed++
			b.addPage(row.Part, v.refused(ctx, row, model.AsRefusal(res.err), labels))
			return nil
		}
		r := res.reading
		r.Photo.Name = row.Photo
		load := v.loader(ctx, row.Path, r.Photo.SHA256)
		b.addReading(row, r, load)
		b.addPage(row.Part, &report.ReadingPage{Reading: r, Load: load, Labels: labels})
		s.plots = append(s.plots, plotSet{plotName(i, row.Photo), r, load})
		return nil
	})
	if err != nil {
		return err
	}
	s.pages = b.pages(v.app)
	return nil
}

// refused is the page of a photo without a reading; it is said on stderr too.
func (v *reportVerb) refused(ctx context.Context, row model.ListRow, r *model.Refusal, labels report.Labels) report.Page {
	v.say("%s: %s", row.Photo, r.Sentence)
	page := &report.RefusedPage{
		Refusal: r, Origin: model.Photo{Name: row.Photo}, Job: row.Job.WithDefaults(), Labels: labels,
		Version: versionText(), MadeAt: time.Now(),
	}
	if p, err := vision.Open(ctx, row.Path); err == nil {
		page.Origin = p.Info
		page.Origin.Name = row.Photo
		page.Load = v.loader(ctx, row.Path, p.Info.SHA256)
		p.Close()
	}
	return page
}

// loader reads a photo for its page when the page is drawn. A photo that is gone
// or is another one by now is left out of the page.
func (v *reportVerb) loader(ctx context.Context, path, sha string) func() *image.RGBA {
	return func() *image.RGBA {
		p, err := vision.Open(ctx, path)
		if err != nil {
			return nil
		}
		defer p.Close()
		if p.Info.SHA256 != sha {
			v.say("%s was changed while the report was made: its page goes without the photo.", path)
			return nil
		}
		img, err := p.Display(ctx)
		if err != nil {
			return nil
		}
		return img
	}
}

// plotName is a base name for the pictures of a photo, without two alike.
func plotName(i int, photo string) string {
	base := filepath.Base(photo)
	return fmt.Sprintf("%03d-%s", i+1, strings.TrimSuffix(base, filepath.Ext(base)))
}

// fromRecord makes a page of each kept reading, exactly as it was kept.
func (v *reportVerb) fromRecord(ctx context.Context, s *sheets) error {
	store, err := v.openKept(ctx)
	if err != nil {
		return err
	}
	s.close = func() { store.Close() } // the pages still take their photos from it
	for i, text := range v.records {
		if id, ok := setNumber(text); ok {
			page, err := v.setPage(ctx, store, id)
			if err != nil {
				return err
			}
			page.Joined.Job.ShowInch = page.Joined.Job.ShowInch || v.job.ShowInch
			if i == 0 {
				s.inch = page.Joined.Job.ShowInch
			}
			s.pages = append(s.pages, page)
			continue
		}
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return usage("--record: %q is not the number of a reading: see the first column of evenrim records.", text)
		}
		r, entry, err := store.Get(ctx, record.ID(n))
		if err != nil {
			return err
		}
		r.Job.ShowInch = r.Job.ShowInch || v.job.ShowInch // how it is shown, not what was read
		if i == 0 {
			s.inch = r.Job.ShowInch
		}
		load := func() *image.RGBA { return v.keptPhoto(ctx, store, text, r) }
		labels := pageLabels(entry)
		s.pages = append(s.pages, &report.ReadingPage{Reading: r, Load: load, Labels: labels})
		s.plots = append(s.plots, plotSet{"record-" + text, r, load})
	}
	return nil
}

// keptPhoto loads the photo of the reading of that number for its page; it is said when the
// page has to go without.
func (a *app) keptPhoto(ctx context.Context, store *record.Store, number string, r *model.Reading) *image.RGBA {
	if r.Photo.SHA256 == "" {
		return nil
	}
	img, err := func() (*image.RGBA, error) {
		data, err := store.Photo(ctx, r.Photo.SHA256)
		if err != nil {
			return nil, err
		}
		p, err := vision.Decode(ctx, r.Photo.Name, data)
		if err != nil {
			return nil, err
		}
		defer p.Close()
		return p.Display(ctx)
	}()
	if err != nil {
		a.say("The photo of reading %s is left out: %s", number, err)
		return nil
	}
	return img
}

// writePlots writes each reading's pictures, if asked for.
func (v *reportVerb) writePlots(ctx context.Context, s *sheets) error {
	if v.plots == "" {
		return nil
	}
	if err := makePlots(v.plots); err != nil {
		return err
	}
	for _, p := range s.plots {
		if err := ctx.Err(); err != nil {
			return err
		}
		if _, err := report.SavePlots(v.plots, p.base, report.Plots(p.reading, p.load(), chart.Light()), chart.PNG); err != nil {
			return cannotWrite(v.plots, err)
		}
	}
	v.say("%s: the pictures of %s.", v.plots, counted(len(s.plots), "reading"))
	return nil
}

// pageLabels are what the shop wrote beside a kept reading, and whether it counts.
func pageLabels(e record.Entry) report.Labels {
	return report.Labels{Part: e.Part, Hole: e.Hole, Batch: e.Batch, Note: e.Note, Operator: e.Operator, Record: idText(e.ID), Outdated: correctedWords(e)}
}
