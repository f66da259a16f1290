package apprentice

import (
	"context"
	"image"
	"image/draw"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/drawing"
	"evenrim/model/practice"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/port"
)

// plotDPI is a plain screen's resolution; k scales it to the device.
const plotDPI = 96

// photoPainter draws a photo alone or, with a reading, with its rims and the
// unrolled rim below it.
func photoPainter(src *image.RGBA, r *model.Reading, u chart.Unit) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		return photoWithRims(src, r, u, w, h, k, p)
	}
}

func photoWithRims(src *image.RGBA, r *model.Reading, u chart.Unit, w, h int, k float64, p look.Palette) *image.RGBA {
	if r == nil {
		return chart.Render(&chart.PhotoFigure{Src: src, Style: p.Style, Unit: u}, w, h, plotDPI*k)
	}
	low := min(int(190*k*p.TextScale), h*2/5)
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(out, out.Rect, image.NewUniform(p.Paper), image.Point{}, draw.Src)
	top := chart.Render(&chart.PhotoFigure{Src: src, Reading: r, Style: p.Style, Unit: u, Words: true}, w, h-low, plotDPI*k)
	draw.Draw(out, top.Rect, top, image.Point{}, draw.Src)
	s := p.Style
	s.Raised = p.Paper
	rim := chart.Render(&chart.RimFigure{Src: src, Reading: r, Style: s, Unit: u, Flush: true}, w, low, plotDPI*k)
	draw.Draw(out, rim.Rect.Add(image.Pt(0, h-low)), rim, image.Point{}, draw.Src)
	return out
}

// livePainter shoots a picture and draws it, with its rims if wanted, over its
// unrolled rim. It runs off the UI goroutine, the newest wish last.
func livePainter(ctx context.Context, studio port.Photographer, solve port.Solver, s practice.Shot, rims bool) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		shot, err := studio.Shoot(ctx, s)
		if err != nil {
			return nil // a picture of ours that can't be drawn, or the page is closing
		}
		drawn := drawnReading(shot, s, solve)
		low := h / 6
		out := image.NewRGBA(image.Rect(0, 0, w, h))
		draw.Draw(out, out.Rect, image.NewUniform(p.Raised), image.Point{}, draw.Src)
		style := p.Style
		style.Paper = p.Raised
		fig := &chart.PhotoFigure{Src: shot.Photo, Style: style}
		if rims {
			fig.Reading = drawn
		}
		if drawn == nil {
			low = 0
		}
		top := chart.Render(fig, w, h-low, plotDPI*k)
		draw.Draw(out, top.Rect, top, image.Point{}, draw.Src)
		if low > 0 {
			strip := chart.Strip(shot.Photo, drawn, w, low-int(4*k), plotDPI*k, chart.StripOptions{Style: style, Lines: rims, Clock: true})
			draw.Draw(out, strip.Rect.Add(image.Pt(0, h-low+int(4*k))), strip, image.Point{}, draw.Src)
		}
		return out
	}
}

// drawnReading is the exact geometry of a drawn photo as a reading, to lay over
// it: it was not read, and its uncertainty means nothing. nil when it has none.
func drawnReading(shot port.Shooting, s practice.Shot, solve port.Solver) *model.Reading {
	r, err := solve(shot.Trace, s.Job(0, false))
	if err != nil || r == nil {
		return nil
	}
	b := shot.Photo.Bounds()
	r.Photo = model.Photo{Name: shot.Source.Name, WidthPx: b.Dx(), HeightPx: b.Dy(), Orientation: 1}
	return r
}

func drawingPainter(d drawing.Drawing) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		return chart.Render(d.Figure(p.Style), w, h, plotDPI*k)
	}
}

func runPainter(r chart.Run) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		s := p.Style
		s.Raised = p.Paper
		return chart.Render(chart.RunChart(r, s), w, h, plotDPI*k)
	}
}
