package report

import (
	"image"
	"path/filepath"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
)

// Plot is one picture of a reading as a file of its own.
type Plot struct {
	Name   string // for a file's name: "photo", "unrolled-rim", "target-map", "width-curve"
	Figure chart.Figure
	W, H   vg.Length
}

// Plots are r's pictures, each for itself.
func Plots(r *model.Reading, photo *image.RGBA, s chart.Style) []Plot {
	u := chart.UnitOf(r.Job.ShowInch)
	aspect := vg.Length(0.75)
	if photo != nil && photo.Rect.Dx() > 0 {
		aspect = vg.Length(photo.Rect.Dy()) / vg.Length(photo.Rect.Dx())
	}
	const wide = 16 * vg.Centimeter
	return []Plot{
		{"photo", &chart.PhotoFigure{Src: photo, Reading: r, Style: s, Unit: u, Words: true}, wide, wide * aspect},
		{"unrolled-rim", &chart.RimFigure{Src: photo, Reading: r, Style: s, Unit: u, Title: "Unrolled rim"}, wide, 7 * vg.Centimeter},
		{"target-map", ReadingMap(r, s), 10 * vg.Centimeter, 10 * vg.Centimeter},
		{"width-curve", chart.WidthCurve(r, chart.CurveOptions{Style: s, Unit: u, Title: "Chamfer width round the hole"}), wide, 7 * vg.Centimeter},
	}
}

// SavePlots writes the pictures as dir/base-name.format, each whole or not at
// all, and returns the paths.
func SavePlots(dir, base string, plots []Plot, format chart.Format) ([]string, error) {
	var paths []string
	for _, p := range plots {
		path := filepath.Join(dir, base+"-"+p.Name+"."+string(format))
		if err := SaveFigure(path, p.Figure, p.W, p.H, format); err != nil {
			return paths, err
		}
		paths = append(paths, path)
	}
	return paths, nil
}
