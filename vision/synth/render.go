package synth

import (
	"math"
	"runtime"
	"sync"
)

// bands of a rounding: its normals sweep in this many steps.
const bands = 6

// light2 is radiance from metal and from the backing, which differ in colour.
type light2 struct{ metal, back float64 }

func (a *light2) addMetal(w, l float64) { a.metal += w * l }

// renderer draws the linear, noise-free picture.
type renderer struct {
	w, h    int
	g       *rims
	c       *shades
	pxPerMM float64
	blur    float64
	defocus float64 // mm on the exit plane; 0 = sharp
	k       int     // samples a pixel side where a rim crosses
	pad     float64 // mm: more than a pixel's half diagonal
}

func newRenderer(s Scene) *renderer {
	g := newRims(s)
	r := &renderer{w: s.Width, h: s.Height, g: g, c: newShades(s, &g.op, &g.sh),
		pxPerMM: s.PxPerMM, blur: s.BlurPx, defocus: s.DefocusPx / s.PxPerMM, k: 2}
	// Half a diagonal is 0.71 px; the scale varies over the hole by perspective, tilt
	// and distortion.
	lean := math.Hypot(math.Tan(s.TiltX), math.Tan(s.TiltY))
	span := 0.0
	if !s.Parallel {
		span = (g.sh.outer + s.ThicknessMM) / s.DistanceMM
	}
	r.pad = 0.85 * math.Hypot(1, lean) * (1 + span) * (1 + 3*math.Abs(s.K1)) / s.PxPerMM
	// The grid's own blur must stay small against the picture's: see TestEdgesLieWhereTheTruthSays.
	switch {
	case s.BlurPx < 0.55:
		r.k = 4
	case s.BlurPx < 1.0:
		r.k = 3
	}
	r.roughenDamage(s)
	return r
}

// roughenDamage marks where the chamfer's surface is torn.
func (r *renderer) roughenDamage(s Scene) {
	if s.Clean != nil {
		return
	}
	for _, d := range s.Damage {
		if d.Kind != Gouge && d.Kind != Burr && d.Kind != ChipBore {
			continue
		}
		if r.c.dmg == nil {
			r.c.dmg = make(track, roundNodes)
		}
		edgeShift(r.c.dmg, d.AtRad, d.WidthRad, 1, s.Seed)
	}
}

// cross says whether a rim, or the rounding along it, touches the pixel.
func (r *renderer) cross(p *place) bool {
	if p.far {
		return false
	}
	lo, hi := -r.pad, r.pad
	wide := 1.45 * r.g.round // more than any rounding's breadth
	touches := func(d, in, out float64) bool { return d > lo-in && d < hi+out }
	if touches(p.bore, 0, wide) || p.bore > lo && touches(p.outer, wide, wide) {
		return true
	}
	return r.defocus == 0 && p.bore < hi && touches(p.exit, 0, 0)
}

// plain returns the radiance of a pixel that no rim crosses.
func (r *renderer) plain(p *place, u, v float64) (l light2) {
	switch {
	case p.far || p.outer > 0 && p.bore > 0:
		l.metal = r.c.faceAt(p.r.p, u, v)
	case p.bore > 0:
		l.metal = r.chamfer(p)
	default:
		return r.inside(p, r.exitShare(p, 0, 0, 0))
	}
	return l
}

func (r *renderer) chamfer(p *place) float64 {
	q := p.r.at(p.coneZ)
	width := p.bore - p.outer
	s := 0.0
	if width > 0 {
		s = min(max(-p.outer/width, 0), 1)
	}
	return r.c.chamferAt(q, p.azOuter, s)
}

// exitShare returns how much of a sample's bore view shows the backing.
func (r *renderer) exitShare(p *place, nx, ny, perSample float64) float64 {
	if r.defocus > 0 {
		return 0.5 * math.Erfc(p.exit/(r.defocus*math.Sqrt2))
	}
	if perSample == 0 {
		if p.exit < 0 {
			return 1
		}
		return 0
	}
	return halfPlaneArea(nx, ny, p.exit*perSample)
}

// inside returns the radiance of the bore's view: share of it the backing, the rest wall.
func (r *renderer) inside(p *place, share float64) (l light2) {
	if share > 0 {
		l.back = share * r.c.backingAt(p.r.at(-r.g.sh.ThicknessMM))
	}
	if share < 1 {
		z := min(max(r.g.sh.wallZ(p.r), -r.g.sh.ThicknessMM), 0)
		q := p.r.at(z)
		l.metal = (1 - share) * r.c.wallAt(q.Angle(), z)
	}
	return l
}

// slopes are the gradients of the three signed distances at a pixel: unit
// normals in the picture and px per mm.
type slopes struct{ outer, bore, exit normal }

type normal struct{ x, y, perMM float64 }

func newNormal(dx, dy float64) normal {
	g := math.Hypot(dx, dy)
	if g == 0 {
		return normal{1, 0, 1}
	}
	return normal{dx / g, dy / g, 1 / g}
}

func (r *renderer) slopesAt(u, v float64) slopes {
	const h = 0.5
	a, b := r.g.at(u-h, v), r.g.at(u+h, v)
	c, d := r.g.at(u, v-h), r.g.at(u, v+h)
	return slopes{
		newNormal(b.outer-a.outer, d.outer-c.outer),
		newNormal(b.bore-a.bore, d.bore-c.bore),
		newNormal(b.exit-a.exit, d.exit-c.exit),
	}
}

// sample returns the mean radiance over one sample square of side 1/k px whose
// centre is (u, v), every rim's half plane covering its exact area.
func (r *renderer) sample(u, v float64, n *slopes) (l light2) {
	p := r.g.at(u, v)
	if p.far {
		l.metal = r.c.faceAt(p.r.p, u, v)
		return l
	}
	k := float64(r.k)
	bore := func(level float64) float64 {
		return halfPlaneArea(n.bore.x, n.bore.y, (p.bore-level)*n.bore.perMM*k)
	}
	outer := func(level float64) float64 {
		return halfPlaneArea(n.outer.x, n.outer.y, (p.outer-level)*n.outer.perMM*k)
	}
	// From outside in: face, outer rounding, chamfer, bore rounding, bore. Each
	// is what lies within one level line but not within the next; where the
	// chamfer has vanished the bore edge's level lines overtake the outer edge's.
	var sinHigh, first float64
	if p.flatB > 0 {
		sinHigh = math.Sin(p.steepB)
		first = bore(p.flatB * (1 - sinHigh))
	} else {
		first = bore(0)
	}
	cover := 1.0
	next := func(a float64) float64 {
		a = min(max(a, first), cover)
		w := cover - a
		cover = a
		return w
	}
	if p.roundO > 0 {
		start := p.roundO * math.Tan(r.g.tiltCh/2)
		if w := next(outer(start)); w > 0 {
			l.addMetal(w, r.c.faceAt(p.r.p, u, v))
		}
		for j := range bands {
			b0, b1 := r.g.tiltCh*float64(j)/bands, r.g.tiltCh*float64(j+1)/bands
			if w := next(outer(start - p.roundO*math.Sin(b1))); w > 0 {
				l.addMetal(w, r.c.filletAt(p.azOuter, (b0+b1)/2))
			}
		}
	} else if w := next(outer(0)); w > 0 {
		l.addMetal(w, r.c.faceAt(p.r.p, u, v))
	}
	if w := next(first); w > 0 {
		l.addMetal(w, r.chamfer(&p))
	}
	if p.flatB > 0 {
		sweep := math.Pi/2 - p.steepB
		for j := range bands {
			b1 := p.steepB + sweep*float64(j+1)/bands
			first = bore(p.flatB * (1 - math.Sin(b1)))
			if w := next(first); w > 0 {
				l.addMetal(w, r.c.filletAt(p.az, b1-sweep/bands/2))
			}
		}
	}
	if cover <= 0 {
		return l
	}
	share := r.exitShare(&p, n.exit.x, n.exit.y, n.exit.perMM*k)
	if r.defocus == 0 && share > 0 && share < 1 && cover < 1 {
		share = bothArea(line{n.bore.x, n.bore.y, p.bore * n.bore.perMM * k},
			line{n.exit.x, n.exit.y, p.exit * n.exit.perMM * k}) / cover
	}
	in := r.inside(&p, min(share, 1))
	l.metal += cover * in.metal
	l.back += cover * in.back
	return l
}

// planes are two pictures of radiance, row after row.
type planes struct{ metal, back []float32 }

func newPlanes(n int) planes { return planes{make([]float32, n), make([]float32, n)} }

// draw returns the blurred picture and what it was made of.
func (r *renderer) draw() planes {
	base := newPlanes(r.w * r.h)
	edge := make([]bool, r.w*r.h)
	parallel(r.h, func(y int) {
		for x := range r.w {
			i := y*r.w + x
			u, v := float64(x), float64(y)
			p := r.g.at(u, v)
			edge[i] = r.cross(&p)
			l := r.plain(&p, u, v)
			base.metal[i], base.back[i] = float32(l.metal), float32(l.back)
		}
	})
	out := newPlanes(r.w * r.h)
	b := newBlurrer(r.blur, r.k)
	nx, ny := (r.w+tile-1)/tile, (r.h+tile-1)/tile
	parallel(nx*ny, func(i int) { r.drawTile(base, edge, out, b, i%nx*tile, i/nx*tile) })
	return out
}

// parallel runs f(0) to f(n-1) on all cores; the order is not fixed.
func parallel(n int, f func(int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers <= 1 {
		for i := range n {
			f(i)
		}
		return
	}
	var wg sync.WaitGroup
	for w := range workers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := w; i < n; i += workers {
				f(i)
			}
		}()
	}
	wg.Wait()
}
