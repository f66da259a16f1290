package synth

import (
	"math"

	"evenrim/model"
)

// rims evaluates where a line of sight lies against the three rims.
type rims struct {
	sh     shape
	op     optics
	shiftO track // mm: departure of the outer edge, by angle from the chamfer axis
	shiftB track // of the bore edge, by angle from the bore axis
	ragged bool

	round  float64
	roundO track // local radius of the outer edge's rounding, by angle from the bore axis
	roundB track
	tiltCh float64 // inclination of the chamfer's normal
	reach  float64 // mm: how far from a rim its rounding and departure can be felt
	margin float64 // mm: farther outside than this is plain face
}

// roundNodes is the number of values of the rounding round the rim.
const roundNodes = 1440

func newRims(s Scene) *rims {
	g := &rims{sh: newShape(s.Solid()), op: newOptics(s), tiltCh: math.Pi/2 - s.HalfAngle}
	g.edges(s)
	g.rounding(s)
	g.margin = 2*g.reach + 6/s.PxPerMM
	return g
}

// edges makes the departures of both edges: roughness and damage.
func (g *rims) edges(s Scene) {
	n := int(min(max(2*math.Pi*g.sh.outer*s.PxPerMM, 720), 40000))
	perMM := float64(n) / (2 * math.Pi * g.sh.outer)
	g.shiftO, g.shiftB = make(track, n), make(track, n)
	if s.RoughMM > 0 {
		for i, t := range []track{g.shiftO, g.shiftB} {
			rng := stream(s.Seed, []string{"rough outer", "rough bore"}[i])
			fine := newTrack(rng, n, max(0.03*perMM, 1.2))
			slow := newTrack(rng, n, max(0.15*perMM, 4))
			for j := range t {
				t[j] = float32(s.RoughMM * (0.8*float64(fine[j]) + 0.6*float64(slow[j])))
			}
		}
	}
	for i, d := range s.Damage {
		seed := mix(s.Seed + uint64(i)*7919)
		onBore := d.Kind == ChipBore || d.Kind == Burr && d.OnBore
		at, t := model.Polar(g.sh.RadiusMM, d.AtRad).Sub(s.Mismatch).Angle(), g.shiftO
		if onBore {
			at, t = d.AtRad, g.shiftB
		}
		switch d.Kind {
		case Gouge, ChipBore:
			edgeShift(t, at, d.WidthRad, d.SizeMM, seed)
		case Burr:
			edgeShift(t, at, d.WidthRad, -d.SizeMM, seed)
		}
	}
	for i := range g.shiftO {
		m := max(math.Abs(float64(g.shiftO[i])), math.Abs(float64(g.shiftB[i])))
		g.reach = max(g.reach, m)
		g.ragged = g.ragged || m > 0
	}
}

// rounding makes the local radius of both roundings: where the chamfer is narrow
// they must share its width, where it has vanished only the bore edge is left.
func (g *rims) rounding(s Scene) {
	if s.RoundMM == 0 || s.Clean != nil {
		return
	}
	g.round = s.RoundMM
	g.roundO, g.roundB = make(track, roundNodes), make(track, roundNodes)
	perO := math.Tan(g.tiltCh/2) * math.Cos(g.tiltCh)
	perB := 1 - math.Sin(g.tiltCh)
	for i := range g.roundO {
		w := s.Solid().WidthAt(2 * math.Pi * float64(i) / roundNodes)
		if w > 0 {
			r := min(g.round, 0.9*w/(perO+perB))
			g.roundO[i], g.roundB[i] = float32(r), float32(r)
		} else {
			g.roundB[i] = float32(min(g.round, -w))
		}
	}
	g.reach += g.round
}

// place is where a line of sight lies: signed distances in mm from the outer
// edge, the bore edge and the exit rim, positive outside.
type place struct {
	r             ray
	far           bool // outside by more than the margin: only r.p and the distances from outer and bore edge hold
	outer, bore   float64
	exit          float64
	azOuter, az   float64 // direction from the chamfer axis and the bore axis
	coneZ         float64
	roundO, flatB float64 // local rounding radii
	steepB        float64 // inclination of the surface above the bore edge
}

// at evaluates pixel (u, v).
func (g *rims) at(u, v float64) (p place) {
	u, v = g.op.ideal(u, v)
	p.r.p = g.op.proj.ToPlane(u, v, 0)
	q := p.r.p.Sub(g.sh.Mismatch)
	p.outer, p.bore = length(q)-g.sh.outer, length(p.r.p)-g.sh.RadiusMM
	if min(p.outer, p.bore) > g.margin {
		p.far = true
		return p
	}
	p.r = g.op.through(u, v, p.r.p)
	p.azOuter = q.Angle()
	// The bore edge's height depends on the direction, which is that of the point
	// at that height: two rounds settle it to nanometres.
	edge := p.r.at(-g.sh.depth(p.r.p))
	z := -g.sh.depth(edge)
	p.az = edge.Angle()
	p.coneZ = g.sh.coneZ(p.r)
	p.steepB = g.tiltCh
	if g.round > 0 {
		x := p.az * roundNodes / (2 * math.Pi)
		p.roundO, p.flatB = g.roundO.at(x), g.roundB.at(x)
		if p.roundO == 0 {
			p.steepB = 0
		}
		// The last of a rounded edge that the camera sees lies below the sharp one.
		z -= p.flatB * math.Tan((math.Pi/2-p.steepB)/2)
	}
	p.bore = length(p.r.at(z)) - g.sh.RadiusMM
	if g.ragged {
		p.outer -= g.shiftO.atAngle(p.azOuter)
		p.bore -= g.shiftB.atAngle(p.az)
	}
	p.exit = length(p.r.at(-g.sh.ThicknessMM)) - g.sh.RadiusMM
	return p
}
