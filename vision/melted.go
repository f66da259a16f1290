package vision

import (
	"evenrim/model"
)

const (
	// partedGap is how many blurs the chamfer must be wide on half of the rim where no arc
	// by itself tells the blur.
	partedGap = 4.0
	// darkest is how far below nothing, as a share of the face's light, the light may be that
	// the fit of two edges needs between them.
	darkest = -0.05
)

const sayOneEdge = "The chamfer's two edges can't be told apart here: what was found beside the outer edge may be its own softness. Move closer, so that the chamfer is at least 5 pixels wide, focus on it, and turn the light until chamfer and bore wall differ."

// checkParted refuses a chamfer that is but the softness of one edge.
//
// Where chamfer and wall are both dark beside a light face, the bore edge has next to no step
// of its own. A rounded outer edge is softer on one side than a blurred step, and two steps
// some 2 blurs apart make up for that: the chamfer found is a third to a half of the true
// one and even all round, whatever the mismatch is. Of 8 photos path-traced anew in light through the
// lens three were read 80 to 115 um off so and stated 15 to 20; drawn chamfers of 3 pixels
// likewise. It shows in that no arc by itself knows its blur, or in a chamfer that has to be
// darker than nothing.
func (r *rims) checkParted(g *blocks, fits []arcFit) error {
	arcs, narrow, dark := 0, 0, 0
	for i, f := range fits {
		if !f.found[outer] || !f.found[bore] {
			continue
		}
		arcs++
		if r.gapAt(g.angle(i)) < partedGap*r.blur[outer] {
			narrow++
		}
		if f.edge[bore].outside < darkest*f.edge[outer].outside {
			dark++
		}
	}
	if 2*narrow > arcs && !r.blurTold || 2*dark > arcs {
		return refuse(model.Unsure, nil, sayOneEdge)
	}
	return nil
}
