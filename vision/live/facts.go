package live

import (
	"math"

	"evenrim/model"
	"evenrim/model/live"
)

// lightFacts measures light by thirds: of the hole's surroundings once it is
// known, else of the whole picture. It samples every fourth pixel each way.
func lightFacts(f *frame, hole *model.Circle, out *live.Facts) {
	x0, x1, y0, y1 := 0, f.w, 0, f.h
	if hole != nil {
		const about = 1.5
		x0, x1 = max(0, int(hole.X-about*hole.R)), min(f.w, int(hole.X+about*hole.R))
		y0, y1 = max(0, int(hole.Y-about*hole.R)), min(f.h, int(hole.Y+about*hole.R))
	}
	if x1-x0 < 12 || y1-y0 < 4 {
		x0, x1, y0, y1 = 0, f.w, 0, f.h
	}
	var sum, n, clipped [3]float64
	for y := y0; y < y1; y += 4 {
		row := f.gray[y*f.w:][:f.w]
		for x := x0; x < x1; x += 4 {
			// The bore is dark by right.
			if hole != nil {
				if dx, dy := float64(x)-hole.X, float64(y)-hole.Y; dx*dx+dy*dy < hole.R*hole.R {
					continue
				}
			}
			i := 3 * (x - x0) / (x1 - x0)
			v := row[x]
			sum[i] += float64(v)
			n[i]++
			if v >= 252 {
				clipped[i]++
			}
		}
	}
	for i := range sum {
		if n[i] == 0 {
			out.Level[i] = 0.5
			continue
		}
		out.Level[i], out.Clipped[i] = sum[i]/n[i]/255, clipped[i]/n[i]
	}
}

// facts gathers what the hints are made of.
func facts(f *frame, k *tracker, r *model.Reading, shake float64, noBore bool) live.Facts {
	out := live.Facts{Width: f.w, Height: f.h, ShakePx: shake, NoBore: noBore}
	if k == nil {
		lightFacts(f, nil, &out)
		return out
	}
	o := k.at.curve[outer]
	out.Hole = &model.Circle{X: o.x, Y: o.y, R: o.r}
	lightFacts(f, out.Hole, &out)
	out.BlurPx, out.Exit = k.at.blur, k.at.hasExit
	if r != nil {
		out.Exit = r.Exit != nil
		out.UmPerPx, out.WidthMM = 1000/r.Camera.PxPerMM, math.Max(r.WidthMM, 0)
		if r.View.How != model.Assumed && math.Max(r.View.SlopeUX, r.View.SlopeUY) < 0.03 {
			s := model.Vec{X: r.View.SlopeX, Y: r.View.SlopeY}.Rotate(r.Job.PlusX)
			out.Slope = model.Vec{X: s.X, Y: -s.Y}
		}
	}
	return out
}
