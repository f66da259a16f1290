package vision

import "evenrim/model"

// Light that comes along the line of sight is thrown back by what faces the lens. Where
// the camera leans, that is not the face but a stretch of the rounded edge, on the side it
// leans to: there the edge seems to lie further in than on the other side, and the whole
// outer edge moved along the lean.

const (
	// roundingRMSMM is the radius of machined edges in the mean square: up to 20 um (design
	// note), evenly distributed.
	roundingRMSMM = 0.0115
	// glitter is by how much brighter than the leaning face the edge shines where it faces
	// the lens. The edge moves by its radius times the lean times this: 2.6 on the middle of
	// 80 drawn photos in such light, 1.6 to 3.9 in half of them; no real edges have been
	// measured for it. In light from a ring it is 0.4, from elsewhere chance.
	glitter = 2.6
	// darkChamfer is the share of the face's light below which a chamfer, tilted by some 45
	// degrees, says that the light comes along the line of sight; all round, or nearly.
	darkChamfer, allRound = 0.5, 0.9
)

// litFromTheLens says whether the chamfer is dark all round and the face is not.
func litFromTheLens(fits []arcFit) bool {
	dark, n := 0.0, 0.0
	for _, f := range fits {
		if e := f.edge[outer]; f.found[outer] {
			n++
			if e.outside+e.contrast < darkChamfer*e.outside {
				dark++
			}
		}
	}
	return n > 0 && dark >= allRound*n
}

// leanDoubt is the covariance, px² in photo axes, of the outer edge's place in light from
// the lens. The exit rim tells the lean; without it the view is in far greater doubt.
func (r *rims) leanDoubt(job model.JobCard) model.Sym2 {
	if !r.hasExit {
		return model.Sym2{}
	}
	thick := job.ThicknessMM
	if thick == 0 {
		thick = job.BoreMM // about as thick as the bore is wide
	}
	// The exit rim is shifted by the lean times the thickness, and seen smaller.
	b, e := &r.curve[bore], &r.curve[exit]
	shift := model.Vec{X: e.X - b.X, Y: e.Y - b.Y}.Scale(b.R / e.R)
	return shift.Scale(glitter * roundingRMSMM / thick).Outer()
}
