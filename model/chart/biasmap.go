package chart

import (
	"math"

	"evenrim/model"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// BiasMap is what turning the part took out, as an arrow in the camera's own axes (X to
// the right of the photo, Y up) with its 95 % region: by so much every photo of the set
// had the mismatch wrong.
func BiasMap(t *model.TurnSet, o MapOptions) *Chart {
	s, u := o.Style, o.Unit
	p := newPlot(s, o.Title, "right in the photo, "+u.String(), "up in the photo, "+u.String())
	half := o.HalfMM
	if half <= 0 {
		half = mapRange([]MapPoint{{At: t.CameraBias, Cov: t.CameraBiasCov}}, Zone{ToleranceMM: 1e-4}, nil)
	}
	h := u.Of(half)
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = -h, h, -h, h
	p.X.Tick.Marker, p.Y.Tick.Marker = ticker{3}, ticker{3}
	m := mapDrawing{s: s, u: u, o: o}
	p.Add(layer(m.ground), layer(func(c draw.Canvas, p *plot.Plot) {
		if !t.CameraBias.IsFinite() {
			return
		}
		to := m.to(&c, p)
		zero, tip := to(model.Vec{}), to(t.CameraBias)
		ring := ellipsePath(to, t.CameraBias, t.CameraBiasCov, factor95)
		c.FillPolygon(alpha(s.Ink, 0.08), c.ClipPolygonXY(ring))
		c.StrokeLines(s.Line(s.Ink, hair, 3, 2), c.ClipLinesXY(append(ring, ring[0]))...)
		line := s.Line(s.Ink, strong)
		c.StrokeLine2(line, zero.X, zero.Y, tip.X, tip.Y)
		long := math.Hypot(float64(tip.X-zero.X), float64(tip.Y-zero.Y))
		if long <= 0 {
			return
		}
		head := min(s.Pt(5), vg.Length(long)/2)
		a := t.CameraBias.Angle()
		for _, side := range []float64{-1, 1} {
			sin, cos := math.Sincos(a + math.Pi - side*math.Pi/7)
			c.StrokeLine2(line, tip.X, tip.Y, tip.X+head*vg.Length(cos), tip.Y+head*vg.Length(sin))
		}
		m.label(c, tip, t.CameraBias, reach(to, t.CameraBias, t.CameraBias, t.CameraBiasCov, 0)+s.Pt(3), "camera and light", s.Ink)
	}))
	return &Chart{Plot: p, Equal: true, Inset: s.Pt(5)}
}
