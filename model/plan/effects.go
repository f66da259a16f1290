package plan

import (
	"math"

	"evenrim/model"
)

// factor is one independent error: its mean and standard deviation, and what a
// unit of it does to the mismatch at a place, to first order.
type factor struct {
	source   Source
	mean, sd float64
	effect   func(t Feature) model.Vec
}

// rectSD is the standard deviation of a quantity known only to lie within limits
// +/-half: rectangular (JCGM 100 4.3.7).
func rectSD(half float64) float64 { return half / math.Sqrt(3) }

const per100 = 100.0 // mm, the length over which squareness is stated

// factors lists f's errors. Signs follow from the geometry in the package comment;
// the simulation in flipsim.go, which places a solid part in two vises, is the
// check on each of them.
func (f Flip) factors() []factor {
	var out []factor
	add := func(s Source, mean, sd float64, effect func(t Feature) model.Vec) {
		if mean != 0 || sd != 0 {
			out = append(out, factor{s, mean, sd, effect})
		}
	}
	along := func(v model.Vec) func(Feature) model.Vec { return func(Feature) model.Vec { return v } }
	x, y := model.Vec{X: 1}, model.Vec{Y: 1}
	n := f.touches()

	// Each face is touched in each of two setups: an error of the touch moves that
	// setup's cut by as much.
	for setup := 1; setup <= 2; setup++ {
		for _, axis := range []model.Vec{x, y} {
			if setup == 1 && f.MilledFaces {
				add(Drift, 0, rectSD(f.DriftMM), along(axis)) // from faces to bores
				continue
			}
			add(Probe, 0, f.ProbeSDMM/math.Sqrt(n), along(axis))
			// The stylus lands on hill or valley: rectangular over the form.
			add(Form, 0, rectSD(f.FormMM/2)/math.Sqrt(n), along(axis))
			add(Drift, 0, rectSD(f.DriftMM), along(axis))
			if f.FirstOnly {
				// The first part's own seat is in the work offset, this part's is not.
				add(Seat, 0, f.SeatMM*math.Sqrt2, along(axis))
			}
		}
	}
	switch {
	case f.MilledFaces:
		// Touched once: the stylus pushes that one cut away from the faces.
		add(Stylus, 0, rectSD(f.RadiusMM), along(model.Vec{X: 1, Y: -1}))
	case !f.SameFaces:
		mirrored := y
		if f.mirrorsX() {
			mirrored = x
		}
		// Opposite faces: the stylus pushes both cuts away from their own faces, so
		// towards each other. With the same face it moves both cuts alike.
		add(Stylus, 0, rectSD(f.RadiusMM), along(mirrored.Scale(2)))
		add(Size, 0, rectSD(f.LengthOf), along(mirrored))
	}

	// A part turned by psi in a setup is cut with its pattern turned by -psi. Setup
	// 1's pattern is looked at from the other side, so the two add up. X is touched
	// half way along the end face and Y half way along the side: what rotates,
	// rotates about the two.
	turn := func(t Feature) model.Vec {
		return model.Vec{X: -(t.At.Y + f.WidthMM/2), Y: t.At.X - f.LengthMM/2}
	}
	clampings := 2
	if f.MilledFaces {
		clampings = 1 // the faces are true to setup 1's axes
	}
	add(Jaw, 0, rectSD(f.JawMM/per100), func(t Feature) model.Vec { return turn(t).Scale(-float64(clampings)) })
	// Both ends of the side come to rest by themselves, on hill or valley, in each
	// clamping.
	for range clampings {
		add(Seat, 0, math.Sqrt2*f.SeatMM/f.LengthMM, turn)
		add(Form, 0, math.Sqrt2*rectSD(f.FormMM/2)/f.LengthMM, turn)
	}
	if !f.mirrorsX() && !f.MilledFaces {
		// The opposite side lies against the jaw: it need not be parallel.
		add(Square, 0, rectSD(f.SquareMM/per100), turn)
	}

	// A face out of square is touched at two heights, one from each side.
	arm := f.ThicknessMM - 2*f.ProbeDepthMM
	for _, axis := range []model.Vec{x, y} {
		if f.MilledFaces {
			break
		}
		add(Square, 0, rectSD(f.SquareMM/per100), along(axis.Scale(arm)))
	}

	// The moving jaw lifts: somewhere from nothing to LiftMM, never down. The part
	// leans to the rear, more the higher up: by so much the work offset is off, taken
	// at the height of touching, and by so much less or more is the cut, at its own.
	touched := f.ThicknessMM - f.ProbeDepthMM
	for setup := 3 - clampings; setup <= 2; setup++ {
		sign := 1.0 / f.WidthMM
		if setup == 1 && f.mirrorsX() {
			sign = -sign // cut 1 counts negative; turned about X, its Y does once more
		}
		height := func(t Feature) float64 {
			if setup == 1 {
				return f.depthOf(t)
			}
			return f.ThicknessMM - f.depthOf(t)
		}
		offset := func(Feature) model.Vec { return model.Vec{Y: sign * touched} }
		cut := func(t Feature) model.Vec { return model.Vec{Y: -sign * height(t)} }
		mean, sd := f.LiftMM/2, rectSD(f.LiftMM/2)
		if f.FirstOnly { // the offset has the first part's lean, the cut this part's
			add(Lift, mean, sd, offset)
			add(Lift, mean, sd, cut)
			continue
		}
		add(Lift, mean, sd, func(t Feature) model.Vec { return offset(t).Add(cut(t)) })
	}

	// A part that is warmer in setup 2 is larger there: each cut lands nearer to the
	// touched faces than it should.
	add(Warmth, 0, rectSD(f.WarmK), func(t Feature) model.Vec { return t.At.Scale(-f.Material.PerK) })

	// A tool that leans away leaves its half of the wall proud. A round hole is cut
	// all round, so its axis stays.
	proud := func(sign float64) func(Feature) model.Vec {
		return func(t Feature) model.Vec {
			if !t.Wall {
				return model.Vec{}
			}
			return model.Polar(sign, t.NormalRad)
		}
	}
	add(Deflection, f.Deflection2MM, deflectionShare*f.Deflection2MM, proud(1))
	add(Deflection, f.Deflection1MM, deflectionShare*f.Deflection1MM, proud(-1))
	if f.MilledFaces {
		add(Deflection, f.FaceProudMM, deflectionShare*f.FaceProudMM, along(model.Vec{X: -1, Y: 1}))
	}
	return out
}

// Expected is the mismatch to expect at a place: mean and covariance to first
// order, all sources together.
func (f Flip) Expected(t Feature) (mean model.Vec, cov model.Sym2) {
	for _, k := range f.factors() {
		e := k.effect(t)
		mean = mean.Add(e.Scale(k.mean))
		cov = cov.Add(e.Outer().Scale(k.sd * k.sd))
	}
	return mean, cov
}

// share is what one source contributes to the mean square of the mismatch at t.
func (f Flip) share(s Source, t Feature) float64 {
	g := f.only(s)
	mean, cov := g.Expected(t)
	if t.Wall {
		n := model.Polar(1, t.NormalRad)
		m := mean.Dot(n)
		return m*m + variance(cov, n)
	}
	return mean.Dot(mean) + cov.XX + cov.YY
}

// variance is that of a displacement along the unit vector n.
func variance(cov model.Sym2, n model.Vec) float64 {
	return math.Max(n.X*n.X*cov.XX+2*n.X*n.Y*cov.XY+n.Y*n.Y*cov.YY, 0)
}
