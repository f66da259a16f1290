package bench

import (
	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/ui/photo"
	"evenrim/ui/state"
)

// showOverlay draws the rims, the marks and the +X arrow over the photo.
func (p *Page) showOverlay() {
	s := p.state.Selected()
	if s == nil || p.shown != s.ID {
		p.viewer.SetOverlay(photo.Overlay{})
		return
	}
	o := overlayOf(s, p.state.Units)
	p.help.over(s, &o)
	p.viewer.SetOverlay(o)
}

func overlayOf(s *state.Photo, u state.Units) photo.Overlay {
	o := photo.Overlay{PhotoW: s.Info.WidthPx, PhotoH: s.Info.HeightPx}
	switch {
	case s.Reading != nil:
		readingOverlay(&o, s.Reading, u)
	case s.Trace != nil:
		paths := model.PhotoPaths(&model.Reading{Trace: *s.Trace})
		for _, run := range state.Runs(paths.OuterPoints) {
			o.Lines = append(o.Lines, photo.Line{Path: run, Colour: chart.PhotoSetup2})
		}
		for _, run := range state.Runs(paths.BorePoints) {
			o.Lines = append(o.Lines, photo.Line{Path: run, Colour: chart.PhotoSetup1})
		}
		o.Dots = dots(paths)
	}
	o.Axes = axes(s)
	if e, ok := s.EdgeOfPlusX(); ok {
		o.Edges = append(o.Edges, photo.Edge{From: e.From, To: e.To, Words: "+X by this edge", Bold: true})
	}
	return o
}

func readingOverlay(o *photo.Overlay, r *model.Reading, u state.Units) {
	paths := model.PhotoPaths(r)
	add := func(lines [][]model.Vec, l photo.Line) {
		for _, path := range lines {
			l.Path = path
			o.Lines = append(o.Lines, l)
		}
	}
	add(paths.Exit, photo.Line{Colour: chart.PhotoExit, WidthPx: 1, Dashed: true})
	add(paths.Bore, photo.Line{Colour: chart.PhotoSetup1})
	add(paths.Outer, photo.Line{Colour: chart.PhotoSetup2})
	o.Dots = dots(paths)
	for _, m := range state.Marks(r, u) {
		o.Marks = append(o.Marks, photo.Mark{At: m.At, From: m.From, Words: m.Words, Colour: chart.PhotoSetup2})
	}
}

func dots(paths model.Paths) []photo.Dots {
	return []photo.Dots{
		{At: paths.OuterPoints, Colour: chart.PhotoSetup2},
		{At: paths.BorePoints, Colour: chart.PhotoSetup1},
		{At: paths.ExitPoints, Colour: chart.PhotoExit},
	}
}

// axes places the +X arrow: at the hole, which may be known before there is a reading, or
// in the photo's middle.
func axes(s *state.Photo) *photo.Axes {
	if s.Info.WidthPx == 0 {
		return nil
	}
	a := photo.Axes{
		Origin:   model.Vec{X: float64(s.Info.WidthPx-1) / 2, Y: float64(s.Info.HeightPx-1) / 2},
		PlusX:    s.Card.PlusX,
		LengthPx: 0.28 * float64(min(s.Info.WidthPx, s.Info.HeightPx)),
	}
	if r := s.Reading; r != nil && r.Outer.A > 0 {
		a.Origin = model.Vec{X: r.Outer.CX, Y: r.Outer.CY}
		a.LengthPx = 0.62 * r.Outer.A
	} else if c, ok := state.HoleOf(s); ok && c.R > 0 {
		a.Origin, a.LengthPx = model.Vec{X: c.X, Y: c.Y}, 0.62*c.R
	}
	return &a
}
