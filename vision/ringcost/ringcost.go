// Package ringcost judges where three circles part a ring into face, chamfer, wall and
// backing: the finder asks it some twenty thousand times. In C for the reason that
// package columns is.
package ringcost

/*
#cgo CFLAGS: -O3 -ffast-math
#cgo LDFLAGS: -lm
#cgo noescape evenrim_ring_cross
#cgo nocallback evenrim_ring_cross
#cgo noescape evenrim_ring_face
#cgo nocallback evenrim_ring_face
#cgo noescape evenrim_ring_inside
#cgo nocallback evenrim_ring_inside
#include "ringcost.h"
*/
import "C"

import "unsafe"

// Sectors is how many directions a ring is cut into.
const Sectors = C.EVENRIM_SECTORS

// Shade is the form of the light along the wall or the backing.
type Shade int

const (
	Sloping Shade = 1 // a straight line
	Bent    Shade = 2 // a parabola
)

// Rules are the numbers that regions are judged by.
type Rules struct {
	Rays                  int     // samples behind each entry
	Guard                 float64 // how far blur reaches into a region, samples
	LeastSlope, LeastBend float64 // how long a region with that shade must be, samples
	LeastVariance         float64
	Share, Gain           float64 // weight of the regions' spread and of an edge
}

// Ring is a ring's running sums, ready to be judged. Safe for concurrent use.
type Ring struct {
	ring C.struct_evenrim_ring
	sums []float64
	edge []float32
}

// New returns the ring about (x, y) whose samples along a sector begin at a distance
// of nearest. sums holds samples+1 entries of a sector after another, each the running
// sums of the value, its square, and the value times its number and that squared; edge
// holds how strongly an edge stands out at each sample.
func New(x, y, nearest float64, samples int, cosine, sine *[Sectors]float64, sums []float64, edge []float32, r Rules) *Ring {
	g := &Ring{sums: sums, edge: edge}
	g.ring = C.struct_evenrim_ring{samples: C.int(samples), rays: C.int(r.Rays), x: C.double(x), y: C.double(y), nearest: C.double(nearest),
		guard: C.double(r.Guard), least_slope: C.double(r.LeastSlope), least_bend: C.double(r.LeastBend), least_variance: C.double(r.LeastVariance),
		share: C.double(r.Share), gain: C.double(r.Gain)}
	for i := range cosine {
		g.ring.cosine[i], g.ring.sine[i] = C.double(cosine[i]), C.double(sine[i])
	}
	return g
}

// Cross sets where the circle crosses one sector in every, one after the other, as a
// sample position.
func (g *Ring) Cross(at *[Sectors]float64, x, y, r float64, every int) {
	circle := [3]C.double{C.double(x), C.double(y), C.double(r)}
	C.evenrim_ring_cross(&g.ring, C.int(every), &circle[0], (*C.double)(&at[0]))
}

// Face returns what face and chamfer cost, with the edges that end them, where bore
// and outer edge cross the sectors.
func (g *Ring) Face(bore, outer *[Sectors]float64, every int) float64 {
	return float64(C.evenrim_ring_face(&g.ring, C.int(every), g.first(), g.firstEdge(), (*C.double)(&bore[0]), (*C.double)(&outer[0])))
}

// Inside returns what wall and backing cost, with the exit rim's edge; exit is nil
// where that is not seen.
func (g *Ring) Inside(bore, exit *[Sectors]float64, wall, backing Shade, every int) float64 {
	var at *C.double
	if exit != nil {
		at = (*C.double)(&exit[0])
	}
	return float64(C.evenrim_ring_inside(&g.ring, C.int(every), C.int(wall), C.int(backing), g.first(), g.firstEdge(), (*C.double)(&bore[0]), at))
}

func (g *Ring) first() *C.double { return (*C.double)(unsafe.SliceData(g.sums)) }

func (g *Ring) firstEdge() *C.float { return (*C.float)(unsafe.SliceData(g.edge)) }
