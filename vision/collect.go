package vision

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"
)

// collector gathers the pixels near the rims. It keeps its memory from one time to
// the next: a large photo's ring has a million of them, and is gathered anew each
// time the curves have moved.
type collector struct {
	parts   [][]tagged // of each worker
	px      []pixel
	scratch []arcPixels // of each worker
}

// scratchOf returns room for so many workers to fit arcs in.
func (c *collector) scratchOf(workers int) []arcPixels {
	if len(c.scratch) < workers {
		c.scratch = make([]arcPixels, workers)
	}
	return c.scratch
}

// tagged is a pixel with the number of its arc.
type tagged struct {
	block int32
	pixel
}

// collect gathers the pixels within reach of a rim, of every stride-th of n arcs.
// Each keeps its own value: resampling would make neighbours agree and hide how
// well an edge is known. What it returns holds until it is called again.
func (c *collector) collect(p *Photo, r *rims, n, stride int, reach float64) *blocks {
	workers := runtime.GOMAXPROCS(0)
	if len(c.parts) < workers {
		c.parts = make([][]tagged, workers)
	}
	curves := r.curve[:r.present()]
	y0, y1 := p.H, 0
	for i := range curves {
		k := &curves[i]
		far := k.R + k.ovalness() + reach
		y0, y1 = min(y0, max(0, int(k.Y-far))), max(y1, min(p.H, int(k.Y+far)+2))
	}
	// About so many pixels for each worker: growing from nothing would leave several
	// times as much behind.
	room := 256
	for _, k := range curves {
		room += int(1.1 * 2 * math.Pi * k.R * 2 * reach / float64(stride*workers))
	}
	dirs := directionsOf(n)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			row := ringRow{photo: p, curves: curves, dirs: dirs, stride: stride, reach: reach, out: slices.Grow(c.parts[w][:0], min(room, p.W*p.H))}
			for y := y0 + (y1-y0)*w/workers; y < y0+(y1-y0)*(w+1)/workers; y++ {
				row.gather(y)
			}
			c.parts[w] = row.out
		})
	}
	wg.Wait()
	g := &blocks{n: n, start: make([]int, n+1)}
	for _, part := range c.parts[:workers] {
		for i := range part {
			g.start[part[i].block+1]++
		}
	}
	for i := range n {
		g.start[i+1] += g.start[i]
	}
	c.px = slices.Grow(c.px[:0], g.start[n])[:g.start[n]]
	g.px = c.px
	at := append([]int(nil), g.start[:n]...)
	for _, part := range c.parts[:workers] {
		for i := range part {
			t := &part[i]
			g.px[at[t.block]] = t.pixel
			at[t.block]++
		}
	}
	return g
}

// direction2 is a unit vector.
type direction2 struct{ x, y float64 }

// directionsOf returns where each of n arcs begins, and the first again.
func directionsOf(n int) []direction2 {
	out := make([]direction2, n+1)
	for i := range out {
		out[i].y, out[i].x = math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
	}
	return out
}

// leftOf says that (x, y) lies in d's direction or less than half a turn from it
// towards growing angles.
func (d direction2) leftOf(x, y float64) bool { return d.x*y-d.y*x >= 0 }

// ringRow gathers a row of a photo after another.
type ringRow struct {
	photo  *Photo
	curves []curve
	dirs   []direction2
	stride int
	reach  float64
	spans  []span
	out    []tagged
}

// span is a run of a row's pixels, the last one included.
type span struct{ from, to int }

// gather adds the pixels of row y that are within reach of a curve.
func (r *ringRow) gather(y int) {
	b := &r.curves[bore]
	n := len(r.dirs) - 1
	dy := float64(y) - b.Y
	next := 0
	for _, s := range r.near(y) {
		from := max(s.from, next)
		if from > s.to {
			continue
		}
		next = s.to + 1
		// The arc of the first pixel by its angle; along the row the arcs follow
		// each other.
		th := math.Atan2(dy, float64(from)-b.X)
		if math.IsNaN(th) {
			return
		}
		arc := int((th/(2*math.Pi)+1)*float64(n)) % n
		for x := from; x <= s.to; x++ {
			dx := float64(x) - b.X
			if dx == 0 && dy == 0 {
				continue // no arc has the centre
			}
			for !r.dirs[arc].leftOf(dx, dy) {
				if arc--; arc < 0 {
					arc = n - 1
				}
			}
			for r.dirs[arc+1].leftOf(dx, dy) {
				if arc++; arc == n {
					arc = 0
				}
			}
			if arc%r.stride != 0 {
				continue
			}
			t := tagged{block: int32(arc)}
			within := false
			for k := range r.curves {
				d := r.curves[k].distance(float64(x), float64(y))
				t.d[k] = float32(d)
				within = within || math.Abs(d) < r.reach
			}
			if within {
				t.light, t.shadow = r.photo.lightAt(y*r.photo.W + x)
				r.out = append(r.out, t)
			}
		}
	}
}

// near returns the runs of row y in which pixels within reach can lie, from left to
// right; they may overlap.
func (r *ringRow) near(y int) []span {
	r.spans = r.spans[:0]
	add := func(from, to float64) {
		if s := (span{max(0, int(math.Ceil(from))), min(r.photo.W-1, int(math.Floor(to)))}); s.from <= s.to {
			r.spans = append(r.spans, s)
		}
	}
	for i := range r.curves {
		c := &r.curves[i]
		dy2 := sq(float64(y) - c.Y)
		beyond := c.ovalness() + r.reach
		far, close := c.R+beyond, max(c.R-beyond, 0)
		if dy2 >= far*far {
			continue
		}
		half := math.Sqrt(far*far - dy2)
		if dy2 >= close*close {
			add(c.X-half, c.X+half)
			continue
		}
		hole := math.Sqrt(close*close - dy2)
		add(c.X-half, c.X-hole)
		add(c.X+hole, c.X+half)
	}
	slices.SortFunc(r.spans, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	return r.spans
}
