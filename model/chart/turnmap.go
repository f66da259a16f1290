package chart

import (
	"fmt"
	"math"

	"evenrim/model"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// TurnMap shows what turning the part took out: each photo's own mismatch (open
// triangles, by its turn) lies off the joined one (dot, with its 95 % region) by
// the camera's own bias, which in part axes turns round. readings are those t was
// joined from, in their order.
func TurnMap(t *model.TurnSet, readings []*model.Reading, zone Zone, o MapOptions) *Chart {
	joined := MapPoint{At: t.Mismatch, Cov: t.Cov, Label: "joined"}
	if major, _, _ := t.Cov.Eigen(); major > 0 && t.U95MM > 0 {
		joined.K = t.U95MM / math.Sqrt(major)
	}
	var pts []MapPoint
	for i, r := range readings {
		p := MapPoint{At: r.Mismatch, Group: 1, Quiet: true}
		if i < len(t.Turns) {
			deg := math.Mod(math.Round(t.Turns[i].TurnRad*180/math.Pi)+360, 360)
			p.Out, p.Label = t.Turns[i].LeftOut, fmt.Sprintf("%.0f°", deg)
		}
		pts = append(pts, p)
	}
	o.HideSetup = true
	if o.HalfMM <= 0 && t.Mismatch.IsFinite() {
		// Close in on the photos: what matters is how they lie to each other.
		o.Centre = t.Mismatch
		half := math.Max(t.U95MM, 1e-4)
		for _, p := range pts {
			if d := p.At.Sub(t.Mismatch).Norm(); !math.IsNaN(d) {
				half = math.Max(half, d)
			}
		}
		o.HalfMM = 1.4 * half
	}
	f := TargetMap(append([]MapPoint{joined}, pts...), zone, o)
	f.Plot.Add(layer(func(c draw.Canvas, p *plot.Plot) {
		m := mapDrawing{s: o.Style, u: o.Unit}
		to := m.to(&c, p)
		for _, q := range pts {
			if q.At.IsFinite() {
				c.StrokeLines(o.Style.Line(o.Style.Ink, hair, 2, 2), c.ClipLinesXY([]vg.Point{to(t.Mismatch), to(q.At)})...)
			}
		}
	}))
	return f
}
