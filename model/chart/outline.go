package chart

import (
	"math"
	"slices"

	"evenrim/model"
)

// Box is a rectangle of the given size round a middle, mm, as an outline.
func Box(mid model.Vec, w, h float64) []model.Vec {
	return []model.Vec{
		{X: mid.X - w/2, Y: mid.Y - h/2}, {X: mid.X + w/2, Y: mid.Y - h/2},
		{X: mid.X + w/2, Y: mid.Y + h/2}, {X: mid.X - w/2, Y: mid.Y + h/2},
	}
}

// Hull is the convex outline of holes (circles of the radii given) and points, mm:
// a part of unknown shape drawn from what is known of it. nil for nothing at all.
func Hull(holes []model.Vec, radii []float64, points []model.Vec) []model.Vec {
	all := slices.Clone(points)
	for i, h := range holes {
		for k := range 24 {
			all = append(all, h.Add(model.Polar(radii[i], float64(k)*math.Pi/12)))
		}
	}
	return convex(all)
}

// convex is the convex hull, counter-clockwise (Andrew's monotone chain, 1979).
func convex(p []model.Vec) []model.Vec {
	if len(p) < 3 {
		return nil
	}
	slices.SortFunc(p, func(a, b model.Vec) int {
		switch {
		case a.X < b.X || a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	half := func(p []model.Vec) []model.Vec {
		var h []model.Vec
		for _, q := range p {
			for n := len(h); n >= 2 && cross2(h[n-1].Sub(h[n-2]), q.Sub(h[n-1])) <= 0; n = len(h) {
				h = h[:n-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	lower := half(p)
	slices.Reverse(p)
	return append(lower, half(p)...)
}

func cross2(a, b model.Vec) float64 { return a.X*b.Y - a.Y*b.X }
