package main

import (
	"context"
	"fmt"
	"image"
	"path/filepath"
	"strings"
	"time"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"
	"evenrim/model/report"
)

// photoLoaders give the upright photo of a reading when a page is drawn, by the
// photo's hash.
type photoLoaders map[string]func() *image.RGBA

func (l photoLoaders) of(r *model.Reading) *image.RGBA {
	if load := l[r.Photo.SHA256]; load != nil {
		return load()
	}
	return nil
}

// checkOut catches wrong use before any photo is read.
func (v *batchVerb) checkOut() error {
	if v.to == "" && v.plots == "" {
		return nil
	}
	r := reportVerb{app: v.app, to: v.to, plots: v.plots}
	if v.to == "" {
		r.to = "batch.pdf" // only the folder is asked for
	}
	return r.check(nil)
}

// print writes the report and the pictures that were asked for.
func (v *batchVerb) print(answers []report.BatchAnswer, photos photoLoaders) error {
	if v.to == "" && v.plots == "" {
		return nil
	}
	if v.to != "" {
		if err := v.printPages(answers, photos); err != nil {
			return err
		}
	}
	if v.plots != "" {
		return v.printPlots(answers)
	}
	return nil
}

func (v *batchVerb) printPages(answers []report.BatchAnswer, photos photoLoaders) error {
	panels := func(a, b batch.Batch) []chart.Panel {
		var out []chart.Panel
		for i, o := range []batch.Batch{a, b} {
			if at := batch.Typical(o.Parts); at >= 0 && len(o.Parts[at].Readings) > 0 {
				r := o.Parts[at].Readings[0]
				out = append(out, chart.Panel{Name: report.BatchName(o.Name), Words: "part " + o.Parts[at].Name, Group: i, Src: photos.of(r), Reading: r})
			}
		}
		return out
	}
	now, u := time.Now(), chart.UnitOf(answers[0].Batch.ShowInch)
	pages, err := report.BatchPages(answers, u, panels, versionText(), now)
	if err != nil {
		return err
	}
	if shows := report.FunnelsOf(answers); shows != nil {
		pages = append(pages, &report.FunnelPage{Shows: shows, Unit: u, Version: versionText(), MadeAt: now})
	}
	if err := report.Save(v.to, report.PaperFor(u), pages...); err != nil {
		return cannotWrite(v.to, err)
	}
	v.say("%s: %s.", v.to, counted(len(pages), "page"))
	return nil
}

func (v *batchVerb) printPlots(answers []report.BatchAnswer) error {
	if err := makePlots(v.plots); err != nil {
		return err
	}
	n := 0
	for i, a := range answers {
		plots := report.BatchPlots(a, chart.Light())
		if i == 0 {
			for k, f := range report.FunnelsOf(answers) {
				for _, c := range chart.FunnelFigure(f, chart.UnitOf(a.Batch.ShowInch), chart.Light()) {
					plots = append(plots, report.Plot{Name: fmt.Sprintf("simulation-%d-%s", k+1, c.Name), Figure: c.Chart, W: plots[0].W, H: plots[0].H / 2})
				}
			}
		}
		if _, err := report.SavePlots(v.plots, fmt.Sprintf("%02d-%s", i+1, fileName(a.Batch.Name)), plots, chart.PNG); err != nil {
			return cannotWrite(v.plots, err)
		}
		n += len(plots)
	}
	v.say("%s: %s.", v.plots, counted(n, "picture"))
	return nil
}

// fileName is a batch's name as a part of a file's.
func fileName(name string) string {
	name = strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, strings.TrimSpace(name))
	if name == "" || name == "." || name == ".." {
		return "batch"
	}
	return strings.ReplaceAll(name, " ", "-")
}

// fromFile loads a photo of a list, unless it was changed since.
func (v *batchVerb) fromFile(ctx context.Context, path, sha string) func() *image.RGBA {
	return (&reportVerb{app: v.app}).loader(ctx, filepath.Clean(path), sha)
}
