package bench

import (
	"image"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"
)

// Plots come from package chart, as in the report; here they only get the
// window's light and size.

// plotDPI is a plain screen's resolution; k scales it to the device.
const plotDPI = 96

func zoneOf(r *model.Reading) chart.Zone {
	return chart.Zone{ToleranceMM: r.Job.ToleranceMM, Shape: r.Job.Zone}
}

func targetPainter(r *model.Reading, u state.Units) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		f := chart.TargetMap([]chart.MapPoint{chart.ReadingPoint(r)}, zoneOf(r), chart.MapOptions{Style: p.Style, Unit: u})
		return chart.Render(f, w, h, plotDPI*k)
	}
}

// rimPainter draws the unrolled rim with its width curve. src may be nil.
func rimPainter(src *image.RGBA, r *model.Reading, u state.Units) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		p.Style.Raised = p.Paper // it lies on the page itself
		if float64(h) < 200*k*p.TextScale {
			return chart.Strip(src, r, w, h, plotDPI*k, chart.StripOptions{Style: p.Style, Lines: true, Clock: true})
		}
		return chart.Render(&chart.RimFigure{Src: src, Reading: r, Style: p.Style, Unit: u, Flush: true}, w, h, plotDPI*k)
	}
}

// bandPainter draws the unrolled rim alone, for a card in the tray.
func bandPainter(src *image.RGBA, r *model.Reading) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		return chart.Strip(src, r, w, h, plotDPI*k, chart.StripOptions{Style: p.Style, Lines: true})
	}
}
