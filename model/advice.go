package model

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Machine is how offsets are typed in at the control.
type Machine struct {
	Inch    bool
	StepMM  float64 // smallest step of an offset; 0 = 0.0001 in or 0.001 mm
	StepRad float64 // of a rotation; 0 = 0.001 degree
}

func (m Machine) withDefaults() Machine {
	if m.StepMM <= 0 {
		m.StepMM = 0.001
		if m.Inch {
			m.StepMM = 0.0001 * MMPerInch
		}
	}
	if m.StepRad <= 0 {
		m.StepRad = 0.001 * math.Pi / 180
	}
	return m
}

// Length writes mm in the machine's unit, to its step, with a sign.
func (m Machine) Length(mm float64) string {
	v, digits, unit := mm, 3, "mm"
	if m.Inch {
		v, digits, unit = mm/MMPerInch, 4, "in"
	}
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if !strings.ContainsAny(s, "123456789") {
		return strings.TrimPrefix(s, "-") + " " + unit
	}
	if v > 0 {
		s = "+" + s
	}
	return s + " " + unit
}

// Axis is what a correction moves.
type Axis string

const (
	AxisX    Axis = "X"
	AxisY    Axis = "Y"
	AxisTurn Axis = "turn"
)

// Move is one correction at the machine.
type Move struct {
	Setup int  // 1 or 2; the axes are that setup's
	Axis  Axis //
	// AmountMM is what to add to the work offset, in machine steps. For AxisTurn
	// AmountRad is how far to turn the part in the vise, counter-clockwise seen
	// from above in that setup; the coordinate system would turn the other way.
	AmountMM, AmountRad float64
	U95                 float64 // 95 % uncertainty of the amount, mm or rad
	Words               string
}

// Amount writes what to add, or how far to turn, with its sign and unit.
func (m Move) Amount(at Machine) string {
	at = at.withDefaults()
	if m.Axis == AxisTurn {
		return strings.Replace(fmt.Sprintf("%+.3f°", degrees(m.AmountRad)), "-", "−", 1)
	}
	return strings.Replace(at.Length(m.AmountMM), "-", "−", 1)
}

// Advice is what to do at the machine, and what is left after it.
type Advice struct {
	// Setup2 and Setup1 are two ways to do the same: one of them, never both. Both
	// are empty where nothing is worth correcting.
	Setup2, Setup1 []Move
	LeftAlone      []string // what isn't corrected and why
	// Remaining is the mismatch expected after it, mm: of the hole, or of the hole
	// that stays worst. Scatter of the next clamping comes on top.
	Remaining      Vec
	RemainingHole  string
	RemainingU95MM float64
	RemainingP     float64 // probability that every hole then lies within, the smallest
	Cautions       []string
}

// Empty says that there is nothing to correct.
func (a Advice) Empty() bool { return len(a.Setup2) == 0 }

// Advise turns one mismatch (mm, setup 2 axes) into corrections. An axis whose
// mismatch is smaller than its own 95 % uncertainty, or than half a machine step,
// is left alone.
func Advise(d Vec, cov Sym2, job JobCard, m Machine) Advice {
	job, m = job.WithDefaults(), m.withDefaults()
	var a Advice
	c := a.shift(d, cov, job.Flip, m)
	a.Remaining, a.RemainingU95MM = d.Add(c), U95(cov)
	a.RemainingP = PWithin(a.Remaining, cov, job.ToleranceMM, job.Zone)
	a.Cautions = cautions(a, false)
	return a
}

// WorthMoving says in which axes the mismatch can be told from none, so that a
// correction is worth making. An axis is judged by the reach along it of the region
// whose radius is U95MM: that is the ± which stands beside the figures, and a smaller
// figure would be told to move.
func (r *Reading) WorthMoving() (x, y bool) {
	if r.IsEven() {
		return false, false
	}
	cov := r.Cov
	if major, _, _ := cov.Eigen(); major > 0 && r.U95MM > 0 {
		cov = reaching(cov, r.U95MM/math.Sqrt(major))
	}
	for _, m := range Advise(r.Mismatch, cov, r.Job, Machine{Inch: r.Job.ShowInch}).Setup2 {
		x = x || m.Axis == AxisX
		y = y || m.Axis == AxisY
	}
	return x, y
}

// reaching is cov enlarged so that what a single number is judged by reaches as far along an
// axis as a region of that many standard uncertainties.
func reaching(cov Sym2, factor float64) Sym2 { return cov.Scale(sq(factor / Factor95)) }

// AdvisePart turns a part's fit into corrections: shift and rotation where the
// rotation is worth it, otherwise the shift that is best for all holes. It needs
// holes; walls alone give a shift without a tolerance to judge the rest by, and
// then RemainingP is NaN.
func AdvisePart(f *PartFit, job JobCard, m Machine) Advice {
	job, m = job.WithDefaults(), m.withDefaults()
	a := Advice{RemainingP: math.NaN(), RemainingU95MM: math.NaN()}
	if why := f.NoCorrection(); why != "" {
		a.LeftAlone = append(a.LeftAlone, why)
		a.Remaining = Vec{math.NaN(), math.NaN()}
		return a
	}
	places := f.places()
	far := 0.0
	var centre Vec
	for _, r := range places {
		far = math.Max(far, r.Norm())
		centre = centre.Add(r.Scale(1 / float64(len(places))))
	}
	turn, uTurn := 0.0, math.Sqrt(f.Cov[pTurn][pTurn])
	switch omega := math.Round(f.RotationRad/m.StepRad) * m.StepRad; {
	case !f.KnowsRotation:
	case math.Abs(f.RotationRad) < Factor95*uTurn:
		a.LeftAlone = append(a.LeftAlone, fmt.Sprintf("Rotation: %+.3f degrees is less than its own uncertainty (%.3f): leave it.", degrees(f.RotationRad), degrees(Factor95*uTurn)))
	case math.Abs(omega)*far < m.StepMM:
		a.LeftAlone = append(a.LeftAlone, fmt.Sprintf("Rotation: %+.4f degrees moves no hole by a machine step: leave it.", degrees(f.RotationRad)))
	default:
		turn = omega
		centre = Vec{} // the coordinate system turns about part zero
	}
	at, cov := f.At(centre)
	// As WorthMoving: by the region that the part's ± are of.
	c := a.shift(at, reaching(cov, CoverageFactor(0)), job.Flip, m)
	if turn != 0 {
		a.turn(turn, Factor95*uTurn)
	}
	a.rest(f, job, c, turn)
	a.Cautions = cautions(a, turn != 0)
	return a
}

// NoCorrection says why none may be worked out at all, "" where one may.
func (f *PartFit) NoCorrection() string {
	switch {
	case f.Disputed():
		return "Photos and indicator contradict each other: no correction before that is cleared."
	case !f.KnowsX || !f.KnowsY:
		return "The shift cannot be told in both axes: no correction."
	case f.TurnUnchecked && math.Abs(f.RotationRad) >= Factor95*math.Sqrt(f.Cov[pTurn][pTurn]):
		// A wrong sign on a wall would come out as a rotation, and move the shift with it.
		return "The photos put part and walls against each other by a rotation that nothing checks: no correction before a second hole tells it, too."
	}
	return ""
}

// places are where the fit's holes are, or its walls where there is no hole.
func (f *PartFit) places() []Vec {
	var out []Vec
	for _, h := range f.Holes {
		if !h.LeftOut {
			out = append(out, h.At)
		}
	}
	if len(out) == 0 {
		for _, w := range f.Walls {
			out = append(out, w.At)
		}
	}
	return out
}

// shift adds the moves that take out d and returns the correction in setup 2.
func (a *Advice) shift(d Vec, cov Sym2, flip FlipAxis, m Machine) Vec {
	var c Vec
	for _, x := range []struct {
		axis Axis
		d, u float64
		to   *float64
	}{{AxisX, d.X, sqrt0(cov.XX), &c.X}, {AxisY, d.Y, sqrt0(cov.YY), &c.Y}} {
		u95 := Factor95 * x.u
		amount := -math.Round(x.d/m.StepMM)*m.StepMM + 0
		switch {
		case math.Abs(x.d) < u95:
			a.LeftAlone = append(a.LeftAlone, fmt.Sprintf("%s: %s is less than its own uncertainty (%s): leave it.", x.axis, m.Length(x.d), strings.TrimPrefix(m.Length(u95), "+")))
		case amount == 0:
			a.LeftAlone = append(a.LeftAlone, fmt.Sprintf("%s: less than half a step of the machine: leave it.", x.axis))
		default:
			*x.to = amount
			one := Correct(Vec{X: -amount}, flip).Setup1.X
			if x.axis == AxisY {
				one = Correct(Vec{Y: -amount}, flip).Setup1.Y
			}
			a.Setup2 = append(a.Setup2, offsetMove(2, x.axis, amount, u95, m))
			a.Setup1 = append(a.Setup1, offsetMove(1, x.axis, one, u95, m))
		}
	}
	return c
}

func offsetMove(setup int, axis Axis, mm, u95 float64, m Machine) Move {
	return Move{Setup: setup, Axis: axis, AmountMM: mm, U95: u95,
		Words: fmt.Sprintf("Setup %d: add %s to the %s work offset (good to %s).", setup, m.Length(mm), axis, strings.TrimPrefix(m.Length(u95), "+"))}
}

// turn adds the moves that take out a rotation. Seen from setup 1 everything is
// mirrored, the rotation and the pattern to be turned: the numbers stay.
func (a *Advice) turn(rad, u95 float64) {
	way := "counter-clockwise"
	if rad < 0 {
		way = "clockwise"
	}
	for setup, moves := range map[int]*[]Move{2: &a.Setup2, 1: &a.Setup1} {
		*moves = append(*moves, Move{Setup: setup, Axis: AxisTurn, AmountRad: rad, U95: u95,
			Words: fmt.Sprintf("Setup %d: turn the part %.3f degrees %s in the vise, seen from above, or turn the coordinate system by %+.3f degrees about part zero (good to %.3f).",
				setup, degrees(math.Abs(rad)), way, -degrees(rad), degrees(u95))})
	}
}

// rest works out what remains: at each hole what the part predicts, corrected.
func (a *Advice) rest(f *PartFit, job JobCard, c Vec, turn float64) {
	worst := -1.0
	for _, h := range f.Holes {
		d, cov := f.At(h.At)
		back, _ := moved(h.At, -turn)
		left := d.Add(c).Add(back)
		tolerance, zone := h.Job.ToleranceMM, h.Job.Zone
		if tolerance == 0 {
			tolerance, zone = job.ToleranceMM, job.Zone
		}
		p := PWithin(left, cov, tolerance, zone)
		if worst < 0 || p < a.RemainingP || p == a.RemainingP && left.Norm() > worst {
			worst, a.RemainingP = left.Norm(), p
			a.Remaining, a.RemainingHole, a.RemainingU95MM = left, h.Hole, U95(cov)
		}
	}
	if worst < 0 {
		a.Remaining, a.RemainingU95MM = f.Shift.Add(c), U95(f.ShiftCov())
	}
}

func cautions(a Advice, turned bool) []string {
	if a.Empty() {
		return nil
	}
	out := []string{
		"Correct in one setup only, never in both.",
		"The sign holds where a larger offset moves part zero towards plus: check with a small test cut.",
		"Find the cause first: a chip under one part is no reason to move the offset for all.",
		"Part zero has to be picked up the same way again; how well that repeats comes on top of what is left.",
	}
	if turned {
		out = append(out, "Turning the part in the vise moves part zero: pick it up again before cutting.")
	}
	return out
}
