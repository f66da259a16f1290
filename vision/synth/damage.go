package synth

import (
	"math"

	"evenrim/model"
)

// DamageKind is what happened to an edge or a surface.
type DamageKind string

const (
	Gouge    DamageKind = "gouge"     // outer edge pushed outward over an arc
	Burr     DamageKind = "burr"      // metal standing over an edge: it looks pushed inward
	ChipBore DamageKind = "chip_bore" // bore edge broken outward over an arc
	Dust     DamageKind = "dust"      // Count grains of about SizeMM anywhere
	Scratch  DamageKind = "scratch"   // a straight line on the face
	Smear    DamageKind = "smear"     // a patch of oil or dirt on the face
)

// Damage is one flaw of a scene.
type Damage struct {
	Kind     DamageKind
	AtRad    float64   // gouge, burr, chip: middle of the arc, part axes, from the bore axis
	WidthRad float64   // and its whole width
	SizeMM   float64   // how far the edge departs; grain size; scratch width
	OnBore   bool      // burr: on the bore edge instead of the outer edge
	Pos      model.Vec // scratch: one end; smear: middle
	DirRad   float64   // scratch: where it runs to, part axes
	LengthMM float64   // scratch
	RXMM     float64   // smear: half widths
	RYMM     float64
	Count    int // dust
}

func validDamage(s Scene) error {
	if len(s.Damage) > 64 {
		return badScene("damage", "A scene takes up to 64 pieces of damage; this one has %d.", len(s.Damage))
	}
	for _, d := range s.Damage {
		arc := within(math.Abs(d.AtRad), 0, 100) && within(d.WidthRad, 0.002, 2*math.Pi) && within(d.SizeMM, 0, s.BoreMM/4)
		ok := false
		switch d.Kind {
		case Gouge, Burr, ChipBore:
			ok = arc
		case Dust:
			ok = d.Count >= 0 && d.Count <= 2000 && within(d.SizeMM, 0.0005, s.BoreMM)
		case Scratch:
			ok = within(d.Pos.Norm(), 0, 1e4) && within(math.Abs(d.DirRad), 0, 100) && within(d.LengthMM, 0, 1000) && within(d.SizeMM, 0, s.BoreMM/4)
		case Smear:
			ok = within(d.Pos.Norm(), 0, 1e4) && within(d.RXMM, 0.001, 1000) && within(d.RYMM, 0.001, 1000)
		}
		if !ok {
			return badScene("damage", "A piece of damage (%q) has an unknown kind or impossible measures.", string(d.Kind))
		}
	}
	return nil
}

// edgeShift adds an arc's departure to a closed track in mm; at is its middle in
// the track's own angle. The profile is a raised cosine with a ragged edge.
func edgeShift(t track, at, width, size float64, seed uint64) {
	n := len(t)
	jag := lattice(seed)
	for i := range t {
		a := 2 * math.Pi * float64(i) / float64(n)
		x := math.Remainder(a-at, 2*math.Pi) / (width / 2)
		if math.Abs(x) >= 1 {
			continue
		}
		bump := 0.5 + 0.5*math.Cos(math.Pi*x)
		t[i] += float32(size * bump * (1 + 0.35*jag.at(4*x+7, 0.5)))
	}
}

// flaw darkens or brightens the picture where a surface flaw lies.
type flaw struct {
	kind   DamageKind
	pos    model.Vec
	dir    model.Vec
	a, b   float64 // half length and half width, or half axes; grain radius in a
	depth  float64 // factor of the level inside
	ragged lattice
}

func newFlaws(s Scene, visibleMM float64) []flaw {
	var out []flaw
	rng := stream(s.Seed, "flaws")
	for _, d := range s.Damage {
		switch d.Kind {
		case Dust:
			for range d.Count {
				p := model.Vec{X: (2*rng.Float64() - 1) * visibleMM, Y: (2*rng.Float64() - 1) * visibleMM}
				size := d.SizeMM * (0.35 + 0.65*rng.Float64()) / 2
				depth := 0.15 + 0.3*rng.Float64()
				if rng.Float64() < 0.25 {
					depth = 1.5 + rng.Float64() // a bright fibre or crumb
				}
				out = append(out, flaw{Dust, p, model.Polar(1, 2*math.Pi*rng.Float64()), size, size * (0.4 + 0.6*rng.Float64()), depth, lattice(rng.Uint64())})
			}
		case Scratch:
			dir := model.Polar(1, d.DirRad)
			mid := d.Pos.Add(dir.Scale(d.LengthMM / 2))
			depth := 0.35
			if rng.Float64() < 0.5 {
				depth = 1.9
			}
			out = append(out, flaw{Scratch, mid, dir, d.LengthMM / 2, d.SizeMM / 2, depth, lattice(rng.Uint64())})
		case Smear:
			out = append(out, flaw{Smear, d.Pos, model.Vec{X: 1}, d.RXMM, d.RYMM, 0.55 + 0.25*rng.Float64(), lattice(rng.Uint64())})
		}
	}
	return out
}

// factor returns what the flaw multiplies the level of point p by; px is one
// pixel in mm, over which its outline is softened.
func (f *flaw) factor(p model.Vec, px float64) float64 {
	q := p.Sub(f.pos)
	x, y := q.Dot(f.dir), f.dir.X*q.Y-f.dir.Y*q.X
	if math.Abs(x) > 1.6*f.a+2*px || math.Abs(y) > 1.6*f.b+2*px {
		return 1
	}
	var in float64
	switch f.kind {
	case Scratch:
		in = smooth(0.5+(f.b-math.Abs(y))/(2*px)) * smooth((f.a-math.Abs(x))/(4*px))
		in *= 0.8 + 0.4*f.ragged.at(x/(8*px), 0)
	default:
		rho := math.Hypot(x/f.a, y/f.b)
		edge := 1 + 0.35*f.ragged.at(2*x/f.a+3, 2*y/f.b+3) + 0.12*f.ragged.at(9*x/f.a, 9*y/f.b)
		in = smooth(0.5 + (edge-rho)*min(f.a, f.b)/(2*px))
	}
	return 1 + in*(f.depth-1)
}
