package model

import (
	"fmt"
	"math"
	"strings"
)

// leastRimLeft is the share of the rims' points that must be left once arcs were
// brushed out: below it the fit leans on so little that a slip of the hand makes
// the result.
const leastRimLeft = 0.4

// Without returns t without the points of outer and bore edge that lie in the
// arcs, directions on the screen about the bore's centre; the exit rim stays, it
// only gives the view. t itself isn't changed.
//
// The error is a *Refusal when too little would be left.
func (t Trace) Without(arcs []Arc) (Trace, error) {
	if len(arcs) == 0 {
		return t, nil
	}
	centre, ok := t.Centre()
	if !ok {
		return t, nil
	}
	keep := func(points []EdgePoint) ([]EdgePoint, bool) {
		out := make([]EdgePoint, 0, len(points))
		for _, p := range points {
			if !anyHolds(arcs, math.Atan2(centre.Y-p.Y, p.X-centre.X)) {
				out = append(out, p)
			}
		}
		return out, float64(len(out)) >= leastRimLeft*float64(len(points))
	}
	var okOuter, okBore bool
	t.Outer, okOuter = keep(t.Outer)
	t.Bore, okBore = keep(t.Bore)
	if !okOuter || !okBore {
		return t, Refuse(Unsure, "More than half of the rim is brushed out: too little is left to measure. Undo a stroke, or take a new photo.")
	}
	var words []string
	for _, a := range arcs {
		words = append(words, fmt.Sprintf("%.0f° at %s", a.WidthRad*180/math.Pi, Clock(a.CentreRad)))
	}
	t.HelpedBy = joinHelp(t.HelpedBy, "left out "+strings.Join(words, ", "))
	return t, nil
}

func joinHelp(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// Centre returns the bore's centre in the photo, px, from the traced points alone.
func (t Trace) Centre() (Vec, bool) {
	c, ok := t.Circle()
	return Vec{c.X, c.Y}, ok
}

// Circle returns the circle that best follows the traced bore edge, px; ok is
// false without enough points.
func (t Trace) Circle() (c Circle, ok bool) {
	pts := make([]Vec, len(t.Bore))
	for i, p := range t.Bore {
		pts[i] = Vec{p.X, p.Y}
	}
	c, err := FitCircle(pts)
	return c, err == nil
}

// OuterCircle is Circle for the outer edge.
func (t Trace) OuterCircle() (c Circle, ok bool) { return Trace{Bore: t.Outer}.Circle() }

// Holds says whether the direction angleRad lies in the arc.
func (a Arc) Holds(angleRad float64) bool {
	return math.Abs(wrapPi(angleRad-a.CentreRad)) <= a.WidthRad/2
}

func anyHolds(arcs []Arc, angleRad float64) bool {
	for _, a := range arcs {
		if a.Holds(angleRad) {
			return true
		}
	}
	return false
}

// Turn is the turn from direction a to direction b the short way, counter-clockwise
// positive, in (-pi, pi].
func Turn(a, b float64) float64 { return wrapPi(b - a) }

// HelpWarning is how a reading says that a person helped; it stands among its
// warnings. It is "" when nobody did.
func (t Trace) HelpWarning() string {
	if t.HelpedBy == "" {
		return ""
	}
	return HelpedPrefix + t.HelpedBy + "."
}

// HelpedPrefix begins that warning.
const HelpedPrefix = "A person helped: "
