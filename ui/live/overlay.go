package live

import (
	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/live"
	"evenrim/ui/photo"
)

// overlayOf draws the rims over the picture.
func overlayOf(v live.View) photo.Overlay {
	var o photo.Overlay
	if v.Reading == nil {
		return o
	}
	paths := model.PhotoPaths(v.Reading)
	add := func(lines [][]model.Vec, l photo.Line) {
		for _, path := range lines {
			l.Path = make([]model.Vec, len(path))
			for i, q := range path {
				l.Path[i] = scaled(q, v.Scale)
			}
			o.Lines = append(o.Lines, l)
		}
	}
	add(paths.Exit, photo.Line{Colour: chart.PhotoExit, WidthPx: 1, Dashed: true})
	add(paths.Bore, photo.Line{Colour: chart.PhotoSetup1, WidthPx: 1.6})
	add(paths.Outer, photo.Line{Colour: chart.PhotoSetup2, WidthPx: 1.6})
	return o
}

// scaled takes a camera's pixel to one of a picture of another size, centres at
// integers in both.
func scaled(q model.Vec, k float64) model.Vec {
	if k == 0 || k == 1 {
		return q
	}
	return model.Vec{X: (q.X+0.5)*k - 0.5, Y: (q.Y+0.5)*k - 0.5}
}
