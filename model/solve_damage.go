package model

import (
	"cmp"
	"math"
	"slices"
)

const (
	// A point is off its rim beyond this many robust standard deviations.
	offSD = 5.0
	// Damage shorter than this is a speck.
	minDamageRad = 2.5 * math.Pi / 180
	// Off points this close belong to one place.
	joinRad = 5 * math.Pi / 180
)

// damage returns the arcs whose points depart from the fitted rims together.
func (f *rimFit) damage() []Damage {
	var out []Damage
	for k := outerRim; k <= boreRim; k++ {
		out = append(out, f.damageOf(k)...)
	}
	return out
}

func (f *rimFit) damageOf(k rimKind) []Damage {
	type off struct{ theta, px float64 }
	var pts []off
	dep := f.departures(k)
	for i, p := range f.points[k] {
		if math.Abs(dep[i]) > math.Max(offSD*p.sd(), 1) {
			pts = append(pts, off{p.theta, dep[i]})
		}
	}
	if len(pts) == 0 {
		return nil
	}
	slices.SortFunc(pts, func(a, b off) int { return cmp.Compare(a.theta, b.theta) })
	// Runs of off points on one side; the first run may go on past the seam.
	var runs [][]off
	for i, p := range pts {
		if i > 0 && p.theta-pts[i-1].theta < joinRad && (p.px > 0) == (pts[i-1].px > 0) {
			runs[len(runs)-1] = append(runs[len(runs)-1], p)
		} else {
			runs = append(runs, []off{p})
		}
	}
	if n := len(runs); n > 1 {
		first, last := runs[0], runs[n-1]
		if first[0].theta+2*math.Pi-last[len(last)-1].theta < joinRad && (first[0].px > 0) == (last[0].px > 0) {
			for i := range first {
				first[i].theta += 2 * math.Pi
			}
			runs[n-1] = append(last, first...)
			runs = runs[1:]
		}
	}
	var out []Damage
	for _, r := range runs {
		from, to := r[0].theta, r[len(r)-1].theta
		if len(r) < 3 || to-from < minDamageRad {
			continue
		}
		d := Damage{AtRad: wrapPi((from+to)/2 - f.job.PlusX), WidthRad: to - from, Kind: Outward, Rim: [...]string{"outer", "bore"}[k]}
		for _, p := range r {
			d.PeakMM = math.Max(d.PeakMM, math.Abs(p.px)/f.fit.P[qScale])
		}
		if r[0].px < 0 {
			d.Kind = Inward
		}
		out = append(out, d)
	}
	return out
}
