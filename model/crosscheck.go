package model

import (
	"fmt"
	"math"
)

// StepCheck sets a wall's step against the chamfer in a photo: a step that is all
// mismatch and larger than the chamfer is wide must make the chamfer vanish over
// an arc.
type StepCheck struct {
	// ExpectedArcRad is the vanished arc if the chamfer were as drawn and the whole
	// step were mismatch; SeenArcRad is the photo's.
	ExpectedArcRad, SeenArcRad float64
	WiderMM, UWiderMM          float64 // chamfer as measured less as drawn
	SizeMM, USizeMM            float64 // step less the photo's mismatch along the wall's normal
	Wider, Size                bool    // which of the two is real at 95 %
	Says                       string
}

// VanishedArcFor is the arc over which a chamfer of width w vanishes at a
// mismatch d, to first order: 2 arccos(w/d); 0 while d <= w.
func VanishedArcFor(widthMM, mismatchMM float64) float64 {
	if mismatchMM <= widthMM || widthMM < 0 {
		return 0
	}
	return 2 * math.Acos(widthMM/mismatchMM)
}

// CheckStep compares the photo of a hole with the step of a wall, mm with
// standard uncertainty, at a wall whose outward normal is normalRad. The job card
// has the width as drawn.
func CheckStep(r *Reading, normalRad, stepMM, uMM float64) StepCheck {
	n := Polar(1, normalRad)
	along := n.Dot(r.Mismatch)
	uAlong := sqrt0(n.X*n.X*r.Cov.XX + 2*n.X*n.Y*r.Cov.XY + n.Y*n.Y*r.Cov.YY)
	drawn := r.Job.ChamferMM
	c := StepCheck{ExpectedArcRad: VanishedArcFor(drawn, math.Abs(stepMM)), SeenArcRad: r.VanishedRad,
		SizeMM: stepMM - along, USizeMM: math.Hypot(uMM, uAlong)}
	c.Size = math.Abs(c.SizeMM) > Factor95*c.USizeMM
	if drawn > 0 {
		c.WiderMM, c.UWiderMM = r.WidthMM-drawn, r.WidthUMM
		c.Wider = c.WiderMM > Factor95*c.UWiderMM
	}
	um := func(mm float64) string { return fmt.Sprintf("%.1f um", 1000*mm) }
	switch {
	case drawn > 0 && c.ExpectedArcRad > c.SeenArcRad && (c.Wider || c.Size):
		c.Says = fmt.Sprintf("With the chamfer as drawn and all of the step mismatch, the chamfer would be gone over %.0f degrees; the photo shows %.0f.", degrees(c.ExpectedArcRad), degrees(c.SeenArcRad))
		switch {
		case c.Wider && c.Size:
			c.Says += fmt.Sprintf(" The chamfer is %s wider than drawn, and %s of the step are size, not mismatch.", um(c.WiderMM), um(c.SizeMM))
		case c.Wider:
			c.Says += fmt.Sprintf(" The chamfer is %s wider than drawn; the step agrees with the photo.", um(c.WiderMM))
		default:
			c.Says += fmt.Sprintf(" The chamfer is as drawn; %s of the step are size, not mismatch.", um(c.SizeMM))
		}
	case c.Size:
		c.Says = fmt.Sprintf("%s of the step are size, not mismatch.", um(c.SizeMM))
	default:
		c.Says = "Step and photo agree."
	}
	return c
}

// CheckSteps sets each wall of f against the chamfer of its first hole with a
// drawn width, and returns a sentence for each where they contradict: a chamfer
// that should have vanished and has not.
func (f *PartFit) CheckSteps() []string {
	var out []string
	for _, w := range f.Walls {
		for _, h := range f.Holes {
			if len(h.Readings) == 0 || h.Job.ChamferMM <= 0 {
				continue
			}
			r := *h.Readings[0]
			// The hole's joined mismatch, as it would be at the wall.
			at, cov := f.At(w.At)
			hole, _ := f.At(h.At)
			r.Mismatch, r.Cov = h.Mismatch.Add(at.Sub(hole)), h.Cov.Add(cov)
			if c := CheckStep(&r, w.NormalRad, w.MeanMM, w.UMM); c.ExpectedArcRad > c.SeenArcRad && (c.Wider || c.Size) {
				out = append(out, fmt.Sprintf("Wall %s and hole %s: %s", w.Wall, holeName(h.Hole), c.Says))
			}
			break
		}
	}
	return out
}
