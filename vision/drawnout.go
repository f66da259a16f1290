package vision

import (
	"math"

	"evenrim/model"
)

// Where chamfer and wall are alike over a stretch of the rim, beside a lighter face, the
// bore edge has no step there, and the softness of a rounded outer edge is taken for it: two
// steps some 2 blurs apart make up for one that is soft. The stretch then lies outside the
// circle of the rest.

const (
	// narrowGap is up to how many blurs inside the outer edge an arc's bore edge may be that edge's
	// softness: of 650 such arcs of path-traced photos half are off by more than three times
	// what they state, of those at 2.5 to 4 blurs one in five, of all others one in six.
	narrowGap = 2.5
	// drawnOut is by how many blurs such arcs lie outside the circle of the rest on the mean
	// where they are wrong: of 21 photos where they do so by 0.5 or more (path-traced and drawn) the circle
	// of the rest is nearer to the truth in 20.
	drawnOut = 0.5
	// fewestDrawn is how many arcs out of place make a stretch.
	fewestDrawn = 6
)

// findDrawnOut sees which arcs place the bore edge in the softness of the outer edge, and says
// whether there are any that are not to place it. Where half of the arcs are as narrow there is no
// rest to hold them against.
func (r *rims) findDrawnOut(g *blocks, fits []arcFit) bool {
	narrow := make([]bool, len(fits))
	var near, rest []model.EdgePoint
	for i := range fits {
		f := &fits[i]
		if !f.placed(bore) {
			continue
		}
		at := r.roundly(g.point(r, fits, i, bore))
		// An outer edge that isn't found, for the bore edge is where it should be, has no shift.
		if r.gapAt(g.angle(i))+f.edge[outer].shift-f.edge[bore].shift < narrowGap*r.blur[outer] {
			narrow[i] = true
			near = append(near, at)
		} else {
			rest = append(rest, at)
		}
	}
	if len(near) < fewestDrawn || 2*len(rest) < len(fits) {
		return false
	}
	circle := curve{Circle: r.curve[bore].Circle}
	circle.follow(rest, false)
	var out, weight float64
	for _, e := range near {
		w := 1 / (sq(e.SigmaPx) + sq(edgeFloor))
		out, weight = out+w*circle.distance(e.X, e.Y), weight+w
	}
	if out < drawnOut*r.blur[outer]*weight {
		return false
	}
	for i, was := range r.drawn {
		narrow[i] = narrow[i] || was
	}
	r.drawn = narrow
	return true
}

// gapAt is how far the outer edge lies outside the bore edge in direction th from the bore's
// centre, px.
func (r *rims) gapAt(th float64) float64 {
	b := &r.curve[bore]
	return r.curve[outer].toward(b.X, b.Y, th) - b.toward(b.X, b.Y, th)
}

// roundly is where a point of the bore edge would be if the camera did not lean: the outer edge's
// flattening, which no stretch of bore edge out of place spoils, is taken off.
func (r *rims) roundly(e model.EdgePoint) model.EdgePoint {
	b, o := &r.curve[bore], &r.curve[outer]
	x, y := e.X-b.X, e.Y-b.Y
	l := math.Hypot(x, y)
	by := (o.radius(math.Atan2(y, x)) - o.R) / l
	e.X, e.Y = e.X-by*x, e.Y-by*y
	return e
}
