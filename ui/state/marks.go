package state

import "evenrim/model"

// RimMark is a place on a rim with words, in photo pixels.
type RimMark struct {
	At, From model.Vec
	Words    string
}

// Marks says where the chamfer is widest and narrowest, as a machinist would;
// nothing when that would be chance.
func Marks(r *model.Reading, u Units) []RimMark {
	if r.IsEven() || r.Camera.PxPerMM <= 0 {
		return nil
	}
	solid, proj := r.Solid(), r.Camera.Projector()
	place := func(e model.Extreme) RimMark {
		q, _ := solid.OuterEdge(e.AngleRad)
		x, y := proj.ToPhoto(q.X, q.Y, 0)
		fx, fy := proj.ToPhoto(0, 0, 0)
		return RimMark{At: model.Vec{X: x, Y: y}, From: model.Vec{X: fx, Y: fy}}
	}
	wide, narrow := place(r.Widest()), place(r.Narrowest())
	wide.Words = "widest " + extremeWords(r.Widest(), u) + ", " + r.Widest().Clock
	narrow.Words = "narrowest " + extremeWords(r.Narrowest(), u) + ", " + r.Narrowest().Clock
	if r.Narrowest().WidthMM <= 0 {
		narrow.Words = "no chamfer, " + r.Narrowest().Clock
	}
	return []RimMark{wide, narrow}
}
