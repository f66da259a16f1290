package report

import (
	"errors"
	"fmt"
	"io"
	"time"

	"evenrim/model/chart"
	"evenrim/model/whole"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Paper is the size of a sheet; its zero value is A4.
type Paper int

const (
	A4 Paper = iota
	Letter
)

// PaperFor is the sheet that goes with a unit: who works in inches prints on
// Letter.
func PaperFor(u chart.Unit) Paper {
	if u == chart.Inch {
		return Letter
	}
	return A4
}

// Size is the sheet's width and height, upright.
func (p Paper) Size() (w, h vg.Length) {
	if p == Letter {
		return 8.5 * vg.Inch, 11 * vg.Inch
	}
	return 210 * vg.Millimeter, 297 * vg.Millimeter // ISO 216
}

// Write writes the pages as one PDF. The document carries the latest date of its
// pages, so the same pages give the same bytes.
func Write(w io.Writer, paper Paper, pages ...Page) error {
	if len(pages) == 0 {
		return errors.New("report: nothing to write: no page")
	}
	var at time.Time
	for _, p := range pages {
		if p.At().After(at) {
			at = p.At()
		}
	}
	if at.IsZero() {
		at = time.Unix(0, 0)
	}
	width, height := paper.Size()
	doc := chart.NewPages(width, height, at.UTC())
	doc.SetInfo(pages[0].Title(), "Evenrim")
	for i, p := range pages {
		if i > 0 {
			doc.NextPage()
		}
		p.Draw(draw.NewCanvas(doc, width, height))
	}
	if _, err := doc.WriteTo(w); err != nil {
		return fmt.Errorf("report: write: %w", err)
	}
	return nil
}

// Save writes the pages to path: whole or not at all, through a file beside it
// that is moved into place.
func Save(path string, paper Paper, pages ...Page) error {
	return atomically(path, func(w io.Writer) error { return Write(w, paper, pages...) })
}

// SaveFigure writes a figure as a picture file the same way.
func SaveFigure(path string, f chart.Figure, w, h vg.Length, format chart.Format) error {
	return atomically(path, func(out io.Writer) error { return chart.Write(out, f, w, h, format) })
}

func atomically(path string, write func(io.Writer) error) error {
	if err := whole.File(path, 0o644, write); err != nil {
		return fmt.Errorf("report: save %q: %w", path, err)
	}
	return nil
}
