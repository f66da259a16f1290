package synth

import (
	"math"

	"evenrim/model"
)

// grid holds smooth values over a rectangle of nodes, read by bilinear
// interpolation. Along the first axis it may close on itself.
type grid struct {
	nx, ny int
	wrap   bool
	v      []float32
}

func newGrid(nx, ny int, wrap bool) grid { return grid{nx, ny, wrap, make([]float32, nx*ny)} }

func (g *grid) set(i, j int, x float64) { g.v[j*g.nx+i] = float32(x) }

// cell returns the lower node of x on an axis of n nodes and the share of the next.
func cell(x float64, n int) (int, float64) {
	if !(x > 0) {
		return 0, 0
	}
	if x >= float64(n-1) {
		return n - 2, 1
	}
	i := int(x)
	return i, x - float64(i)
}

func (g *grid) at(x, y float64) float64 {
	var i, i2 int
	var fx float64
	if g.wrap {
		f := math.Floor(x)
		fx = x - f
		i = int(f) % g.nx
		if i < 0 {
			i += g.nx
		}
		if i2 = i + 1; i2 == g.nx {
			i2 = 0
		}
	} else {
		i, fx = cell(x, g.nx)
		i2 = i + 1
	}
	j, fy := cell(y, g.ny)
	a, b := g.v[j*g.nx:(j+1)*g.nx], g.v[(j+1)*g.nx:(j+2)*g.nx]
	return (float64(a[i])*(1-fx)+float64(a[i2])*fx)*(1-fy) + (float64(b[i])*(1-fx)+float64(b[i2])*fx)*fy
}

// Sizes of the tables; radiance varies slowly between their nodes.
const (
	faceCell              = 48 // px
	faceNodes             = 17 // over slope; the face's lobe across its marks is wide
	slopeNodes            = 25
	chamferAz             = 480
	filletAz, filletNodes = 360, 25
	wallAz, wallNodes     = 120, 24
	backingNodes          = 33
	maxSlope              = 0.6 // of the slope axes; beyond it the end value holds
	faceScale             = (faceNodes - 1) / (2 * maxSlope)
	slopeScale            = (slopeNodes - 1) / (2 * maxSlope)
	minFaceRadiance       = 1e-9
	greyFloor             = 0.45 // of the backing's light that no rim of the bore hides
)

// shades is the light of every surface of a scene, made ready for lookup.
type shades struct {
	flat *Clean // levels when the scene is clean; nothing else is then used

	face       []grid // per slope node: radiance over the picture, cells of faceCell px
	chamfer    grid   // azimuth from the chamfer axis x slope round the rim
	fillet     grid   // azimuth x inclination 0..90 degrees
	wall       grid   // azimuth from the bore axis x depth 0..t
	backing    grid   // over the square round the exit rim
	backSpan   float64
	thick      float64
	marks      *marks
	cross      *marks
	grain      lattice
	grainPer   float64 // cells a mm
	grainRMS   float64
	chatter    track
	chatterAmp float64
	skew       float64
	chGrain    float64
	flaws      []flaw
	px         float64 // one pixel, mm
	tint       [3]float64
	backTint   [3]float64
	dmg        track // of the chamfer: roughened where damaged, 0..1
}

func newShades(s Scene, o *optics, sh *shape) *shades {
	c := &shades{thick: s.ThicknessMM, px: 1 / s.PxPerMM}
	if s.Clean != nil {
		c.flat = s.Clean
		c.tint, c.backTint = [3]float64{1, 1, 1}, [3]float64{1, 1, 1}
		return c
	}
	c.marks = newMarks(s, "marks", s.Face.Direction, s.Face.RadiusMM, s.Face.MarkSlope, s.Face.FineSlope)
	c.cross = newMarks(s, "cross", s.Face.Direction+0.5, s.Face.RadiusMM, s.Face.CrossSlope, 0)
	rng := stream(s.Seed, "surfaces")
	c.grain, c.grainPer, c.grainRMS = lattice(rng.Uint64()), s.PxPerMM/1.8, s.Face.Grain/0.44
	c.chatter = chatterTrack(s, rng.Float64())
	c.chatterAmp, c.chGrain = s.Chatter.Slope, s.Chatter.Grain/0.44
	c.skew = (rng.Float64() - 0.5) * 4 * math.Pi / float64(s.Chatter.Waves)
	c.tint, c.backTint = [3]float64{1, 0.995, 0.985}, [3]float64{1, 0.99, 0.95}
	for i, k := range s.Cast {
		c.tint[i] *= k
		c.backTint[i] *= k
	}
	visible := math.Hypot(float64(s.Width), float64(s.Height)) / 2 * c.px
	c.flaws = newFlaws(s, visible)
	c.light(s, newLighting(s), o, sh)
	return c
}

// chatterTrack is the chamfer's waviness round the rim: a wave whose height and
// pitch wander.
func chatterTrack(s Scene, phase float64) track {
	n := max(2048, 24*s.Chatter.Waves)
	rng := stream(s.Seed, "chatter")
	wander, height := newTrack(rng, n, float64(n)/20), newTrack(rng, n, float64(n)/12)
	t := make(track, n)
	for i := range t {
		a := float64(s.Chatter.Waves)*2*math.Pi*float64(i)/float64(n) + 2*math.Pi*phase + 1.2*float64(wander[i])
		t[i] = float32(math.Sin(a) * max(1+0.5*float64(height[i]), 0))
	}
	return t
}

// light fills the tables and scales them so that the face round the hole has
// the level the scene asks for.
func (c *shades) light(s Scene, l *lighting, o *optics, sh *shape) {
	face := finish{s.Face.Gloss, 2.5 * s.Face.Gloss, 0.45}

	lay := func(p model.Vec) (vec3, vec3) { // along, across
		if c.marks == nil {
			return vec3{1, 0, 0}, vec3{0, 1, 0}
		}
		a := c.marks.across(p)
		return vec3{a.Y, -a.X, 0}, vec3{a.X, a.Y, 0}
	}
	if c.marks == nil {
		face.across = face.along
	}
	faceAt := func(p model.Vec, slope float64) float64 {
		t, b := lay(p)
		n := vec3{-slope * b[0], -slope * b[1], 1}.unit()
		return l.radiance(vec3{p.X, p.Y, 0}, n, t, face, nil)
	}
	var mean float64
	const round = 24
	for i := range round {
		mean += faceAt(model.Polar(1.25*sh.outer, 2*math.Pi*float64(i)/round), 0) / round
	}

	k := s.FaceLevel / max(mean, minFaceRadiance)

	nx, ny := s.Width/faceCell+2, s.Height/faceCell+2
	c.face = make([]grid, faceNodes)
	for m := range c.face {
		c.face[m] = newGrid(nx, ny, false)
	}
	flat := c.marks == nil && c.cross == nil // one slope is enough
	parallel(ny, func(j int) {
		for i := range nx {
			p := o.ray(float64(i*faceCell), float64(j*faceCell)).p
			level := k * faceAt(p, 0)
			for m := range c.face {
				if !flat {
					level = k * faceAt(p, float64(m)/faceScale-maxSlope)
				}
				c.face[m].set(i, j, level)
			}
		}
	})
	c.rimTables(s, l, sh, k)
	c.boreTables(s, l, sh, k)
}

// rimTables fills the chamfer's and the roundings' tables.
func (c *shades) rimTables(s Scene, l *lighting, sh *shape, k float64) {
	turned := finish{s.Chatter.Gloss, 1.8 * s.Chatter.Gloss, s.Chatter.Broad}
	tilt := math.Pi/2 - sh.HalfAngle // of the chamfer's normal from straight up
	mid := sh.RadiusMM + sh.WidthMM/2
	depth := -sh.WidthMM / 2 * sh.cot
	c.chamfer = newGrid(chamferAz, slopeNodes, true)
	parallel(chamferAz, func(i int) {
		az := 2 * math.Pi * float64(i) / chamferAz
		sa, ca := math.Sincos(az)
		round := vec3{-sa, ca, 0}
		n := vec3{-ca * math.Sin(tilt), -sa * math.Sin(tilt), math.Cos(tilt)}
		p := vec3{s.Mismatch.X + mid*ca, s.Mismatch.Y + mid*sa, depth}
		for j := range slopeNodes {
			m := float64(j)/slopeScale - maxSlope
			nn := n.add(round.mul(-m)).unit()
			t := round.sub(nn.mul(nn.dot(round))).unit()
			c.chamfer.set(i, j, k*l.radiance(p, nn, t, turned, nil))
		}
	})
	worn := finish{0.10, 0.10, 0.3}
	c.fillet = newGrid(filletAz, filletNodes, true)
	for i := range filletAz {
		az := 2 * math.Pi * float64(i) / filletAz
		sa, ca := math.Sincos(az)
		p := vec3{mid * ca, mid * sa, depth}
		for j := range filletNodes {
			b := math.Pi / 2 * float64(j) / (filletNodes - 1)
			n := vec3{-ca * math.Sin(b), -sa * math.Sin(b), math.Cos(b)}
			c.fillet.set(i, j, k*l.radiance(p, n, vec3{-sa, ca, 0}, worn, nil))
		}
	}
}

// boreTables fills the backing's and the bore wall's tables.
func (c *shades) boreTables(s Scene, l *lighting, sh *shape, k float64) {
	r, t := sh.RadiusMM, s.ThicknessMM
	c.backSpan = 1.15 * r
	c.backing = newGrid(backingNodes, backingNodes, false)
	var open, mean float64
	for i := range l.lamps {
		open += l.lamps[i].power * max(l.lamps[i].pos.unit()[2], 0)
	}
	for j := range backingNodes {
		for i := range backingNodes {
			p := vec3{c.backSpan * (2*float64(i)/(backingNodes-1) - 1), c.backSpan * (2*float64(j)/(backingNodes-1) - 1), -t}
			var e float64
			for m := range l.lamps {
				q := &l.lamps[m]
				e += q.power * max(q.pos.unit()[2], 0) * throughBore(q, p, r)
			}
			x := s.BackingLevel * (greyFloor + (1-greyFloor)*e/max(open, 1e-9))
			c.backing.set(i, j, x)
			mean += x / (backingNodes * backingNodes)
		}
	}
	bored := finish{0.12, 0.2, 0.5}
	c.wall = newGrid(wallAz, wallNodes, true)
	for i := range wallAz {
		az := 2 * math.Pi * float64(i) / wallAz
		sa, ca := math.Sincos(az)
		n := vec3{-ca, -sa, 0}
		for j := range wallNodes {
			z := t * float64(j) / (wallNodes - 1)
			p := vec3{r * ca, r * sa, -z}
			direct := l.radiance(p, n, vec3{-sa, ca, 0}, bored, func(q *lamp) float64 { return throughBore(q, p, r) })
			// Light from the mouth thins out with depth; the backing is mirrored at a
			// grazing angle all the way up, a little more so near it.
			mouth := 1 - z/math.Hypot(z, 1.3*r)
			direct -= l.ambient * 0.5 * (1 - 0.5*mouth) // stray light comes in by the mouth too
			foot := 0.9 + 0.2*(1-(t-z)/math.Hypot(t-z, 1.3*r))
			c.wall.set(i, j, k*direct*0.6+s.WallGlow*s.FaceLevel*mouth+s.WallSheen*mean*foot)
		}
	}
}
