// Package columns holds the pixels of one short arc of a rim and does the inner loops
// of the arc's fit over them: gathering them from the photo, how much of each lies in
// which region, normal equations. A reading spends most of its time there. It is in C
// because Go's compiler has no vectors; the numbers are the same on every processor.
package columns

/*
#cgo CFLAGS: -O3 -ffast-math
#cgo LDFLAGS: -lm
#cgo noescape evenrim_columns_gather
#cgo nocallback evenrim_columns_gather
#cgo noescape evenrim_columns_choose
#cgo nocallback evenrim_columns_choose
#cgo noescape evenrim_columns_regions
#cgo nocallback evenrim_columns_regions
#cgo noescape evenrim_columns_look
#cgo nocallback evenrim_columns_look
#cgo noescape evenrim_columns_equations
#cgo nocallback evenrim_columns_equations
#include "columns.h"
*/
import "C"

import (
	"math"
	"unsafe"
)

const (
	// MostEdges is how many edges a model may have.
	MostEdges = C.EVENRIM_EDGES
	// MostUnknowns is how many unknowns: levels, three times shift, line and blur, and
	// the slopes of wall and chamfer.
	MostUnknowns = C.EVENRIM_UNKNOWNS
)

func init() { C.evenrim_columns_prepare() }

// Curve is a circle in photo pixels, made oval by a second harmonic.
type Curve struct{ X, Y, R, Cos2, Sin2 float64 }

// Photo is the picture to gather from: one of Gray8 and Gray16 is set, and Light and
// Shadow hold a value for each step of it.
type Photo struct {
	W, H          int
	Gray8         []uint8
	Gray16        []uint16
	Light, Shadow []float32
}

// Arc is the ring of pixels within Reach of a curve, between two rays from (X, Y),
// unit vectors less than half a turn apart; those on To are not of it.
type Arc struct {
	Curves   []Curve
	X, Y     float64
	From, To [2]float64
	Reach    float64
}

// Choice says which of the gathered pixels a model is fitted to: those within Reach of
// one of the curves Rims, which are the model's edges, and at Least to Most outside
// each curve. Shadows takes their light on the scale of equal ratios.
type Choice struct {
	Rims        []int
	Reach       float64
	Least, Most [MostEdges]float64
	Shadows     bool
}

// Fit is the state of a model: K edges, outermost first, between K+1 regions.
type Fit struct {
	Edges                                        int
	Unknowns, Shift, Glint, Blur, Slope, Incline int // how many; where each kind begins, -1 = not asked
	Wall, Chamfer                                int // the regions that have a slope and an incline, 0 = none
	Level, Variance                              [MostEdges + 1]float64
	Place, Line, Width                           [MostEdges]float64 // of an edge; its bright line; its blur
	Ramp                                         float64            // the wall's slope at its edge
	Fade                                         float64            // px over which it falls to 1/e; 0 = it is the same everywhere
	Inclined                                     float64            // the chamfer's slope
}

// Options say how normal equations are made.
type Options struct {
	Robust  bool // sparkles count less
	Scatter bool // look at the pixels' scatter as well as at their light
	Clip    bool // the picture cannot show more light than Full
	Full    float64
	// NearlyFull is the light from which a pixel may be saturated.
	NearlyFull float64
	// ScatterShare is the share of the scatter's information that is believed,
	// MostScatter bounds what one pixel can do.
	ScatterShare, MostScatter float64
}

// Equations are the normal equations: the lower triangle of A, row by row, and B; and
// of the pixels that lie in one region the sum of squared misfits and their number.
type Equations struct {
	A            []float64
	B            []float64
	SumSq, Count [MostEdges + 1]float64
}

// Regions says what lies between the curves of a choice, outermost first: the sums of
// light and weights, pixels near an edge counting little, the number of pixels, and of
// those with at least the light asked.
type Regions struct{ Sum, Weight, Count, Full [MostEdges + 1]float64 }

// Columns is the memory of one goroutine for one arc after another.
type Columns struct {
	room     int
	values   []float64
	curves   int
	gathered int
	chosen   int
	fit      *C.struct_evenrim_fit
}

// leastRoom is what room is made for at first, pixels.
const leastRoom = 1024

// Gather takes the pixels of an arc from the photo, row by row, and returns how many
// there are.
func (c *Columns) Gather(p *Photo, a *Arc) int {
	arc := C.struct_evenrim_arc{width: C.int(p.W), height: C.int(p.H), curves: C.int(len(a.Curves)),
		x: C.double(a.X), y: C.double(a.Y), from: pair(a.From), to: pair(a.To), reach: C.double(a.Reach)}
	nearest, farthest := math.Inf(1), 0.0
	for i, k := range a.Curves {
		arc.curve[i] = [5]C.double{C.double(k.X), C.double(k.Y), C.double(k.R), C.double(k.Cos2), C.double(k.Sin2)}
		beyond := math.Abs(k.Cos2) + math.Abs(k.Sin2) + a.Reach + math.Hypot(k.X-a.X, k.Y-a.Y)
		nearest, farthest = min(nearest, max(k.R-beyond, 0)), max(farthest, k.R+beyond)
	}
	arc.nearest, arc.farthest = C.double(nearest), C.double(farthest)
	pixels := unsafe.Pointer(unsafe.SliceData(p.Gray8))
	if p.Gray16 != nil {
		pixels, arc.deep = unsafe.Pointer(unsafe.SliceData(p.Gray16)), 1
	}
	c.curves = len(a.Curves)
	c.makeRoom(leastRoom)
	for {
		n := int(C.evenrim_columns_gather(pixels, (*C.float)(unsafe.SliceData(p.Light)), (*C.float)(unsafe.SliceData(p.Shadow)), &arc, c.first(), C.long(c.room)))
		if n <= c.room {
			c.gathered = n
			return n
		}
		c.makeRoom(n + n/4)
	}
}

func pair(v [2]float64) [2]C.double { return [2]C.double{C.double(v[0]), C.double(v[1])} }

// makeRoom makes room for n pixels, and for the last lanes to be filled up.
func (c *Columns) makeRoom(n int) {
	if n > c.room {
		c.room = (n + C.EVENRIM_LANES - 1) / C.EVENRIM_LANES * C.EVENRIM_LANES
		c.values = make([]float64, C.EVENRIM_COLUMNS*c.room)
	}
	if c.fit == nil {
		c.fit = new(C.struct_evenrim_fit)
	}
}

func (c *Columns) first() *C.double { return (*C.double)(unsafe.SliceData(c.values)) }

// column returns one of the columns, n long.
func (c *Columns) column(k, n int) []float64 { return c.values[k*c.room:][:n] }

// Choose chooses pixels for a model and returns how many.
func (c *Columns) Choose(o *Choice) int {
	choice := C.struct_evenrim_choice{edges: C.int(len(o.Rims)), curves: C.int(c.curves), shadows: truth(o.Shadows), reach: C.double(o.Reach)}
	for i, k := range o.Rims {
		choice.rim[i] = C.int(k)
	}
	for k := range o.Least {
		choice.least[k], choice.most[k] = C.double(o.Least[k]), C.double(o.Most[k])
	}
	c.chosen = int(C.evenrim_columns_choose(&choice, C.long(c.gathered), c.first(), C.long(c.room)))
	return c.chosen
}

// Set takes pixels for a model of one edge from elsewhere: their light and how far
// they lie outside the edge's curve.
func (c *Columns) Set(light, distance []float64) {
	c.makeRoom(len(light))
	c.chosen = len(light)
	n := (len(light) + C.EVENRIM_LANES - 1) / C.EVENRIM_LANES * C.EVENRIM_LANES
	for k, from := range map[int][]float64{C.EVENRIM_CHOSEN: light, C.EVENRIM_DISTANCE: distance} {
		to := c.column(k, n)
		clear(to[copy(to, from):])
	}
}

// Chosen is how many pixels there are for a model.
func (c *Columns) Chosen() int { return c.chosen }

// Regions tells what lies between the curves of a model with these blurs; full is the
// light from which a pixel is counted as saturated.
func (c *Columns) Regions(edges int, blur *[MostEdges]float64, full float64) (out Regions) {
	f := c.fit
	f.edges, f.pixels, f.full = C.int(edges), C.int(c.chosen), C.double(full)
	for i, b := range blur {
		f.width[i] = C.double(b)
	}
	C.evenrim_columns_regions(f, c.first(), C.long(c.room), (*C.struct_evenrim_regions)(unsafe.Pointer(&out)))
	return out
}

// Look works out where the pixels lie on each of the edges, which Equations builds on.
func (c *Columns) Look(f *Fit) {
	c.take(f)
	C.evenrim_columns_look(c.fit, c.first(), C.long(c.room))
}

// take copies a fit's state over.
func (c *Columns) take(f *Fit) {
	t := c.fit
	t.edges, t.pixels, t.unknowns, t.wall, t.chamfer = C.int(f.Edges), C.int(c.chosen), C.int(f.Unknowns), C.int(f.Wall), C.int(f.Chamfer)
	t.shift, t.glint, t.blur, t.slope, t.ramp = C.int(f.Shift), C.int(f.Glint), C.int(f.Blur), C.int(f.Slope), C.double(f.Ramp)
	t.incline, t.inclined, t.fade = C.int(f.Incline), C.double(f.Inclined), C.double(f.Fade)
	for i := range f.Level {
		t.level[i], t.variance[i] = C.double(f.Level[i]), C.double(f.Variance[i])
	}
	for i := range f.Place {
		t.place[i], t.line[i], t.width[i] = C.double(f.Place[i]), C.double(f.Line[i]), C.double(f.Width[i])
	}
}

// Equations makes the linearised, weighted problem at f, whose places and widths are
// those that were looked at last. out.A and out.B have room for its unknowns.
func (c *Columns) Equations(f *Fit, o *Options, out *Equations) {
	c.take(f)
	t := c.fit
	t.robust, t.clip, t.scatter = truth(o.Robust), truth(o.Clip), truth(o.Scatter)
	t.full, t.nearly_full = C.double(o.Full), C.double(o.NearlyFull)
	t.scatter_share, t.most_scatter = C.double(o.ScatterShare), C.double(o.MostScatter)
	C.evenrim_columns_equations(t, c.first(), C.long(c.room))
	n := f.Unknowns
	for i := range n {
		out.B[i] = float64(t.b[i])
		for j := 0; j <= i; j++ {
			out.A[i*n+j] = float64(t.a[i*n+j])
		}
	}
	for i := range out.SumSq {
		out.SumSq[i], out.Count[i] = float64(t.sum_sq[i]), float64(t.count[i])
	}
}

func truth(b bool) C.int {
	if b {
		return 1
	}
	return 0
}
