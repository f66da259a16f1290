package plan

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"evenrim/model"
)

// The simulation cuts parts: a solid is laid into two vises with all its errors,
// touched, given a work offset, cut, and what was cut is looked up on the part.
// Nothing is taken from factors: rotations are whole ones, and every sign comes
// from the geometry. It is the check on the closed form, and where errors are
// large it is the better of the two.

type point3 struct{ x, y, z float64 }

// rigid is a turn followed by a shift.
type rigid struct {
	m [3][3]float64
	s point3
}

func (r rigid) to(p point3) point3 {
	return point3{
		r.m[0][0]*p.x + r.m[0][1]*p.y + r.m[0][2]*p.z + r.s.x,
		r.m[1][0]*p.x + r.m[1][1]*p.y + r.m[1][2]*p.z + r.s.y,
		r.m[2][0]*p.x + r.m[2][1]*p.y + r.m[2][2]*p.z + r.s.z,
	}
}

// back is the inverse.
func (r rigid) back(p point3) point3 {
	p = point3{p.x - r.s.x, p.y - r.s.y, p.z - r.s.z}
	return point3{
		r.m[0][0]*p.x + r.m[1][0]*p.y + r.m[2][0]*p.z,
		r.m[0][1]*p.x + r.m[1][1]*p.y + r.m[2][1]*p.z,
		r.m[0][2]*p.x + r.m[1][2]*p.y + r.m[2][2]*p.z,
	}
}

// held places a part of setup axes, turned by yaw about Z and leaning by lift
// about X, in the machine; pivot stays where it is but for the shift.
func held(yaw, lean float64, pivot point3, shiftX, shiftY float64) rigid {
	sy, cy := math.Sincos(yaw)
	sl, cl := math.Sincos(lean)
	// Lean about X first, then yaw about Z.
	r := rigid{m: [3][3]float64{
		{cy, -sy * cl, sy * sl},
		{sy, cy * cl, -cy * sl},
		{0, sl, cl},
	}}
	q := r.to(pivot)
	r.s = point3{pivot.x - q.x + shiftX, pivot.y - q.y + shiftY, pivot.z - q.z}
	return r
}

// vise is one setup of one part: how it lies, and its errors of touching.
type vise struct {
	lies             rigid
	touchX, touchY   float64 // error of the touched position, mm
	driftX, driftY   float64
	cutFrom          point3 // work offset: where the machine takes part zero to be
	size             float64
	second           bool
	deflection       float64
	stylus           float64
	milled           model.Vec // where the milled faces stand against where they should
	outXPer, outYPer float64   // out of square of the end face and the side, mm per mm of height
	lengthX, lengthY float64   // error of the part's size
}

// turned takes a point from setup 2's axes to setup 1's or back: the flip is its
// own inverse.
func (f Flip) turned(p point3) point3 {
	if f.mirrorsX() {
		return point3{-p.x, p.y, -p.z - f.ThicknessMM}
	}
	return point3{p.x, -p.y, -p.z - f.ThicknessMM}
}

// faces says which faces of the part (setup 2's axes) are touched in a setup: the
// end at x = 0 or LengthMM, the side at y = 0 or -WidthMM.
func (f Flip) faces(second bool) (endX, sideY float64) {
	if second || f.SameFaces || f.MilledFaces {
		return 0, 0
	}
	if f.mirrorsX() {
		return f.LengthMM, 0
	}
	return 0, -f.WidthMM
}

// draw lays one part into one setup and touches it. What belongs to the part or
// the vise rather than to the setup comes in with like.
func (f Flip) draw(rng *rand.Rand, second bool, like vise, jaw, parallel float64) vise {
	v := like
	v.second = second
	flat := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	if f.MilledFaces && !second {
		// Faces and bores are cut in one clamping: however the block lies, the machine's
		// axes are the part's.
		v.lies = held(0, 0, point3{}, 0, 0)
		v.cutFrom = point3{x: flat(f.DriftMM), y: flat(f.DriftMM)}
		return v
	}
	end := func() float64 { return f.SeatMM*rng.NormFloat64() + flat(f.FormMM/2) }
	yaw := jaw + (end()-end())/f.LengthMM
	if !f.mirrorsX() && second {
		yaw += parallel
	}
	lean := math.Asin(f.LiftMM * rng.Float64() / f.WidthMM)
	pivot := f.turnedIf(point3{f.LengthMM / 2, -f.WidthMM / 2, -f.ThicknessMM}, !second)
	pivot.z = -f.ThicknessMM
	// The front comes up: a turn about X that takes the rear down.
	v.lies = held(yaw, -lean, pivot, f.SeatMM*rng.NormFloat64(), f.SeatMM*rng.NormFloat64())
	n := math.Sqrt(f.touches())
	v.touchX = (f.ProbeSDMM*rng.NormFloat64() + flat(f.FormMM/2)) / n
	v.touchY = (f.ProbeSDMM*rng.NormFloat64() + flat(f.FormMM/2)) / n
	v.driftX, v.driftY = flat(f.DriftMM), flat(f.DriftMM)
	v.touch(f)
	return v
}

func (f Flip) turnedIf(p point3, turn bool) point3 {
	if turn {
		return f.turned(p)
	}
	return p
}

// touch finds the work offset from the two touched faces: where they are less
// where they should be.
func (v *vise) touch(f Flip) {
	endX, sideY := f.faces(v.second)
	// A place on each face, in setup 2's axes, at the probe's height; faces out of
	// square are where their height says.
	depth := f.ProbeDepthMM
	if !v.second {
		depth = f.ThicknessMM - f.ProbeDepthMM
	}
	end, side := point3{endX, -f.WidthMM / 2, -depth}, point3{f.LengthMM / 2, sideY, -depth}
	endNominal, sideNominal := end, side
	end.x += v.outXPer*-depth + v.milled.X
	side.y += v.outYPer*-depth + v.milled.Y
	if endX > 0 {
		end.x += v.lengthX
	}
	if sideY < 0 {
		side.y += v.lengthY
	}
	grow := func(p point3) point3 {
		if v.second {
			return point3{p.x * v.size, p.y * v.size, p.z}
		}
		return p
	}
	toMachine := func(p point3) point3 { return v.lies.to(f.turnedIf(grow(p), !v.second)) }
	toNominal := func(p point3) point3 { return f.turnedIf(p, !v.second) }
	e, en := toMachine(end), toNominal(endNominal)
	s, sn := toMachine(side), toNominal(sideNominal)
	// Stylus thought too small: the face seems to lie further inwards.
	middle := toNominal(point3{f.LengthMM / 2, -f.WidthMM / 2, 0})
	v.cutFrom = point3{
		x: e.x - en.x + v.touchX + v.driftX + v.stylus*math.Copysign(1, middle.x-en.x),
		y: s.y - sn.y + v.touchY + v.driftY + v.stylus*math.Copysign(1, middle.y-sn.y),
	}
}

// cut returns where on the part (setup 2's axes, cold) a vertical tool sent to a
// feature's nominal place cuts at its depth.
func (v *vise) cut(f Flip, t Feature) model.Vec {
	p := f.turnedIf(point3{t.At.X, t.At.Y, -f.depthOf(t)}, !v.second)
	x, y := p.x+v.cutFrom.x, p.y+v.cutFrom.y
	if t.Wall {
		// The tool leans away: the wall is left proud.
		n := model.Polar(v.deflection, t.NormalRad)
		q, o := f.turnedIf(point3{n.X, n.Y, 0}, !v.second), f.turnedIf(point3{}, !v.second)
		x, y = x+q.x-o.x, y+q.y-o.y
	}
	// Along the tool, find where the part's depth is the feature's.
	z := p.z
	var at point3
	for range 4 {
		at = v.lies.back(point3{x, y, z})
		z += p.z - at.z
	}
	at = f.turnedIf(at, !v.second)
	if v.second {
		at.x, at.y = at.x/v.size, at.y/v.size
	}
	return model.Vec{X: at.x, Y: at.y}
}

// part is one trial: a part's mismatch at each feature.
func (f Flip) part(rng *rand.Rand, into []model.Vec) {
	flat := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	jaw := flat(f.JawMM / per100)
	like := vise{size: 1 + f.Material.PerK*flat(f.WarmK), stylus: flat(f.RadiusMM),
		outXPer: flat(f.SquareMM / per100), outYPer: flat(f.SquareMM / per100)}
	like.lengthX, like.lengthY = flat(f.LengthOf), flat(f.LengthOf)
	parallel := flat(f.SquareMM / per100)
	deflection := func(mm float64) float64 { return mm * (1 + deflectionShare*rng.NormFloat64()) }
	like.deflection = deflection(f.Deflection1MM)
	if f.MilledFaces {
		like.outXPer, like.outYPer, parallel = 0, 0, 0
		proud := deflection(f.FaceProudMM)
		like.milled = model.Vec{X: -proud, Y: proud}
	}
	one := f.draw(rng, false, like, jaw, parallel)
	two := f.draw(rng, true, like, jaw, parallel)
	if f.FirstOnly {
		// The offsets are the first part's; this part lies where it comes to lie.
		first1, first2 := one, two
		one = f.draw(rng, false, like, jaw, parallel)
		two = f.draw(rng, true, like, jaw, parallel)
		one.cutFrom, two.cutFrom = first1.cutFrom, first2.cutFrom
	}
	two.deflection = deflection(f.Deflection2MM)
	for i, t := range f.Features {
		into[i] = two.cut(f, t).Sub(one.cut(f, t))
	}
}

// Simulated is what cutting many parts gave.
type Simulated struct {
	Parts int
	Mean  []model.Vec  // by feature, mm
	Cov   []model.Sym2 // mm²
	Share []float64    // of parts within tolerance at the feature
	All   float64      // at every feature
}

// AllU is the standard uncertainty of All by the number of parts simulated.
func (s Simulated) AllU() float64 {
	n := float64(s.Parts)
	// One part more of either kind keeps it honest near 0 and 1 (Laplace).
	p := (s.All*n + 1) / (n + 2)
	return math.Sqrt(p * (1 - p) / n)
}

const simBlock = 2048 // parts that share a random stream

// Simulate cuts parts; the same seed gives the same parts, whatever the machine.
func (f Flip) Simulate(parts int, seed uint64) Simulated {
	n := len(f.Features)
	blocks := (parts + simBlock - 1) / simBlock
	type sums struct {
		x, y, xx, xy, yy []float64
		in               []int
		all              int
	}
	got := make([]sums, blocks)
	var wg sync.WaitGroup
	next := make(chan int, blocks)
	for b := range blocks {
		next <- b
	}
	close(next)
	for range min(runtime.GOMAXPROCS(0), blocks) {
		wg.Go(func() {
			d := make([]model.Vec, n)
			for b := range next {
				rng := rand.New(rand.NewPCG(seed, uint64(b)))
				s := sums{make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]int, n), 0}
				for range min(simBlock, parts-b*simBlock) {
					f.part(rng, d)
					all := true
					for i, v := range d {
						s.x[i] += v.X
						s.y[i] += v.Y
						s.xx[i] += v.X * v.X
						s.xy[i] += v.X * v.Y
						s.yy[i] += v.Y * v.Y
						if f.within(f.Features[i], v) {
							s.in[i]++
						} else {
							all = false
						}
					}
					if all {
						s.all++
					}
				}
				got[b] = s
			}
		})
	}
	wg.Wait()
	out := Simulated{Parts: parts, Mean: make([]model.Vec, n), Cov: make([]model.Sym2, n), Share: make([]float64, n)}
	k := 1 / float64(parts)
	all, in := 0, make([]int, n)
	for _, s := range got {
		all += s.all
		for i := range n {
			out.Mean[i] = out.Mean[i].Add(model.Vec{X: s.x[i], Y: s.y[i]}.Scale(k))
			out.Cov[i] = out.Cov[i].Add(model.Sym2{XX: s.xx[i], XY: s.xy[i], YY: s.yy[i]}.Scale(k))
			in[i] += s.in[i]
		}
	}
	out.All = float64(all) / float64(parts)
	for i, m := range out.Mean {
		out.Share[i] = float64(in[i]) / float64(parts)
		out.Cov[i] = out.Cov[i].Add(m.Outer().Scale(-1))
	}
	return out
}

// within says whether one part's mismatch at a feature is in tolerance: the zone
// for a hole, the step for a wall.
func (f Flip) within(t Feature, d model.Vec) bool {
	if t.Wall {
		return math.Abs(d.Dot(model.Polar(1, t.NormalRad))) <= f.ToleranceMM
	}
	if f.Zone == model.SquareZone {
		return math.Abs(d.X) <= f.ToleranceMM && math.Abs(d.Y) <= f.ToleranceMM
	}
	return d.Norm() <= f.ToleranceMM
}
