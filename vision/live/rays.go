package live

import (
	"math"
	"runtime"
	"sync"

	"evenrim/model"
)

// rims is where the tracker holds the three rims.
type rims struct {
	curve   [nRims]curve
	hasExit bool
	blur    float64 // sd of the edges, px, the pixel's own width included
}

// present is how many rims there are, in the order of their numbers.
func (r *rims) present() int {
	if r.hasExit {
		return nRims
	}
	return exit
}

const (
	fewestRays, mostRays = 64, 88 // more makes the solving too slow for a live picture
	pxPerRay             = 12.0   // of the rim
	// halfTrack is how far to each side of a ray pixels count: five abreast see
	// past a tool mark, and the rim's own bend over them is far below its noise.
	halfTrack = 2
	// wildSD is from when a ray says nothing about an edge, px.
	wildSD = 2.5
	// leastSNR of an edge's contrast.
	leastSNR = 4.0
)

// look says how the rays are searched: reach in px about where the curve is, and
// a factor on the blur by which an edge some px off is felt.
type look struct{ reach, widen float64 }

// sight is what the rays see.
type sight struct {
	rays  int // that lie in the picture
	found [nRims][]model.EdgePoint
	// blurStep is by how much the edges want the common blur changed.
	blurStep float64
}

// share is the part of the rays on which rim k was found.
func (s *sight) share(k int) float64 {
	if s.rays == 0 {
		return 0
	}
	if k == exit {
		return 2 * float64(len(s.found[k])) / float64(s.rays)
	}
	return float64(len(s.found[k])) / float64(s.rays)
}

// see fits the rims' edges along rays from the bore's centre.
func (r *rims) see(f *frame, l look) *sight {
	n := int(math.Min(math.Max(2*math.Pi*r.curve[bore].r/pxPerRay, fewestRays), mostRays))
	workers := min(runtime.GOMAXPROCS(0), 4)
	parts := make([]raySight, workers)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			p := &parts[w]
			for i := n * w / workers; i < n*(w+1)/workers; i++ {
				s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(n))
				r.ray(f, l, c, s, i%2 == 0, p)
			}
		})
	}
	wg.Wait()
	out := &sight{}
	var up, down float64
	for i := range parts {
		p := &parts[i]
		out.rays += p.rays
		for k := range nRims {
			out.found[k] = append(out.found[k], p.found[k]...)
		}
		up, down = up+p.blurUp, down+p.blurDown
	}
	if down > 0 {
		out.blurStep = up / down
	}
	return out
}

// raySight gathers what a worker's rays see.
type raySight struct {
	rays             int
	found            [nRims][]model.EdgePoint
	blurUp, blurDown float64
	px               []sample // reused
}

// sample is a pixel near a ray: its light and how far it lies outside each of the
// edges looked for.
type sample struct {
	v float64
	d [2]float64
}

// ray looks along one ray from the bore's centre; the exit rim, which is only
// wanted for its place, is looked for on every second.
func (r *rims) ray(f *frame, l look, ux, uy float64, toExit bool, out *raySight) {
	b := &r.curve[bore]
	var rho [nRims]float64
	for k := range r.present() {
		rho[k] = r.curve[k].toward(b.x, b.y, ux, uy)
	}
	if rho[bore] <= 0 || rho[outer] <= 0 {
		return
	}
	far := rho[outer] + l.reach
	for _, q := range [2]float64{rho[bore], far} {
		if x, y := b.x+q*ux, b.y+q*uy; x < 3 || y < 3 || x > float64(f.w-4) || y > float64(f.h-4) {
			return
		}
	}
	out.rays++
	near := math.Max(rho[bore]-l.reach, 2)
	hasExit := r.hasExit && rho[exit] > 0 && rho[bore]-rho[exit] > 2*r.blur
	if hasExit {
		near = math.Max(near, (rho[bore]+rho[exit])/2)
	}
	if rho[outer]-rho[bore] > r.blur {
		out.px = r.gather(f, ux, uy, near, far, &linear, outer, bore, out.px[:0])
		r.edges(out, l, ux, uy, rho, [2]int{outer, bore})
	} else { // vanished here: the face meets the bore
		out.px = r.gather(f, ux, uy, near, far, &linear, bore, -1, out.px[:0])
		r.edges(out, l, ux, uy, rho, [2]int{bore, -1})
	}
	if hasExit && toExit {
		to := math.Min(rho[exit]+l.reach, (rho[bore]+rho[exit])/2)
		out.px = r.gather(f, ux, uy, math.Max(rho[exit]-l.reach, 2), to, &ratio, exit, -1, out.px[:0])
		r.edges(out, l, ux, uy, rho, [2]int{exit, -1})
	}
}

// gather takes the photo's own pixels along a ray, each at its true place:
// resampling would make neighbours agree and hide how well an edge is known.
func (r *rims) gather(f *frame, ux, uy, from, to float64, light *[256]float32, k0, k1 int, px []sample) []sample {
	b := &r.curve[bore]
	c0 := &r.curve[k0]
	c1 := c0
	if k1 >= 0 {
		c1 = &r.curve[k1]
	}
	for q := from; q <= to; q++ {
		for t := -halfTrack; t <= halfTrack; t++ {
			x := int(b.x + q*ux - float64(t)*uy + 0.5)
			y := int(b.y + q*uy + float64(t)*ux + 0.5)
			if x < 0 || y < 0 || x >= f.w || y >= f.h {
				continue
			}
			s := sample{v: float64(light[f.gray[y*f.w+x]])}
			s.d[0] = c0.off(float64(x), float64(y))
			if k1 >= 0 {
				s.d[1] = c1.off(float64(x), float64(y))
			}
			px = append(px, s)
		}
	}
	return px
}

// edges fits one or two blurred steps to a ray's pixels and notes where they are.
func (r *rims) edges(out *raySight, l look, ux, uy float64, rho [nRims]float64, k [2]int) {
	e := edgeFit{n: 1, blur: r.blur, widen: l.widen, limit: 0.8 * l.reach}
	if k[1] >= 0 {
		e.n = 2
	}
	if !e.solve(out.px) {
		return
	}
	b := &r.curve[bore]
	for i := range e.n {
		if !(e.sd[i] < wildSD) || e.snr[i] < leastSNR || math.Abs(e.shift[i]) > 0.97*e.limit {
			continue
		}
		c := &r.curve[k[i]]
		x, y := b.x+rho[k[i]]*ux, b.y+rho[k[i]]*uy
		nx, ny := x-c.x, y-c.y
		s := e.shift[i] / math.Hypot(nx, ny)
		out.found[k[i]] = append(out.found[k[i]], model.EdgePoint{X: x + s*nx, Y: y + s*ny, SigmaPx: e.sd[i]})
		if k[i] != exit && l.widen == 1 {
			out.blurUp, out.blurDown = out.blurUp+e.blurUp[i], out.blurDown+e.blurDown[i]
		}
	}
}
