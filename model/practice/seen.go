package practice

import (
	"math"

	"evenrim/model"
)

// Seen is how wide the chamfer is and how wide it looks, round the hole.
type Seen struct {
	Widest, Narrowest         float64 // true widths, mm
	WidestRad                 float64 // where in the photo, rad on the screen
	LooksWidest, LooksNarrow  float64 // as the camera sees them, mm at the face's scale
	LooksRad                  float64
	HalfDifference, LooksHalf float64 // of widest and narrowest: true and as seen
	VanishedRad               float64
}

// See computes what a photo of s shows, from the exact geometry: no noise, no
// light. It is what lessons put beside a live picture.
func See(s Shot) Seen {
	solid, p := s.Solid(), s.Camera().Projector()
	at := s.Mismatch.Angle()
	v := Seen{
		Widest: solid.WidthAt(at), Narrowest: math.Max(solid.WidthAt(at+math.Pi), 0), WidestRad: s.PlusX + at,
		HalfDifference: s.Mismatch.Norm(), VanishedRad: solid.VanishedArc().WidthRad,
		LooksWidest: math.Inf(-1), LooksNarrow: math.Inf(1),
	}
	for i := range 360 {
		a := 2 * math.Pi * float64(i) / 360
		w := looks(s, solid, p, a)
		if w > v.LooksWidest {
			v.LooksWidest, v.LooksRad = w, s.PlusX+a
		}
		v.LooksNarrow = math.Min(v.LooksNarrow, w)
	}
	v.LooksHalf = (v.LooksWidest - v.LooksNarrow) / 2
	return v
}

// looks is the chamfer's width at a direction as the photo shows it.
func looks(s Shot, solid model.Solid, p model.Projector, a float64) float64 {
	outer, present := solid.OuterEdge(a)
	if !present {
		return 0
	}
	depth, _ := solid.ChamferDepth(a)
	bore := model.Polar(solid.RadiusMM, a)
	ou, ov := p.ToPhoto(outer.X, outer.Y, 0)
	bu, bv := p.ToPhoto(bore.X, bore.Y, -depth)
	along := model.Polar(1, s.PlusX+a)
	return ((ou-bu)*along.X - (ov-bv)*along.Y) / s.PxPerMM
}
