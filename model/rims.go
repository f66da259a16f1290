package model

import "math"

// Solid is the machined shape of one hole, mm and radians, in part axes.
type Solid struct {
	RadiusMM, WidthMM, ThicknessMM, HalfAngle float64
	Mismatch                                  Vec // chamfer axis minus bore axis
}

// ChamferDepth returns how far below the face (>= 0) the chamfer meets the bore
// wall in the direction angleRad from the bore axis, and whether it reaches the
// wall there at all; where it has vanished the depth is 0.
func (s Solid) ChamferDepth(angleRad float64) (depthMM float64, present bool) {
	m := Polar(s.RadiusMM, angleRad).Sub(s.Mismatch).Norm()
	reach := s.RadiusMM + s.WidthMM - m
	if reach <= 0 {
		return 0, false
	}
	return reach / math.Tan(s.HalfAngle), true
}

// OuterEdge returns the outer edge's point that belongs to the bore direction
// angleRad; present is false where the chamfer has vanished.
func (s Solid) OuterEdge(angleRad float64) (p Vec, present bool) {
	q := Polar(s.RadiusMM, angleRad).Sub(s.Mismatch)
	m, r := q.Norm(), s.RadiusMM+s.WidthMM
	return s.Mismatch.Add(q.Scale(r / m)), m < r
}

// WidthAt returns the chamfer's width in the direction angleRad seen from the
// bore axis: the exact distance along that ray, negative where it has vanished.
func (s Solid) WidthAt(angleRad float64) float64 {
	u := Polar(1, angleRad)
	along := s.Mismatch.Dot(u)
	across2 := s.Mismatch.Dot(s.Mismatch) - along*along
	r := s.RadiusMM + s.WidthMM
	return along + math.Sqrt(r*r-across2) - s.RadiusMM
}

// VanishedArc returns the arc of the bore's rim that the chamfer never touched;
// its width is 0 while the chamfer goes all round. The limits are where the
// outer circle and the bore circle cross.
func (s Solid) VanishedArc() Arc {
	d := s.Mismatch.Norm()
	if d <= math.Abs(s.WidthMM) {
		return Arc{}
	}
	r, big := s.RadiusMM, s.RadiusMM+s.WidthMM
	// Circles |p| = r and |p-d| = big cross where cos(angle to d) =
	// (r²+d²-big²)/(2 r d); the vanished side lies beyond, opposite to d.
	c := (r*r + d*d - big*big) / (2 * r * d)
	if c <= -1 {
		return Arc{}
	}
	return Arc{CentreRad: wrapPi(s.Mismatch.Angle() + math.Pi), WidthRad: 2 * (math.Pi - math.Acos(math.Min(c, 1)))}
}
