package words

import (
	"fmt"
	"math"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/plan"
)

// PickUp says where part zero is and how to make sure of it. examples are the faces
// whose touches nobody has made yet.
func PickUp(f plan.Found, examples []string, u chart.Unit) Answer {
	p := f.PickUp
	a := Answer{Grade: Good, Headline: "Work offset", Moves: true}
	u95 := f.OffsetU95MM()
	d := u.Decimals(u95)
	a.Figure, a.Unit = "X "+u.Signed(f.Offset.X, d)+"  Y "+u.Signed(f.Offset.Y, d), u.String()
	a.About = fmt.Sprintf("± %s %s (95 %%): machine position of part zero.", u.FormatU(u95, d), u)
	if len(f.Warnings) > 0 {
		a.Grade = Doubt
		a.Headline = "Work offset, with doubts"
	}
	if !math.IsNaN(f.PValue) && f.PValue < 0.05 {
		a.Grade, a.Headline = Bad, "Do not cut yet"
	}
	dir := "counter-clockwise"
	if f.RotationRad < 0 {
		dir = "clockwise"
	}
	ball := "The touches were taken as points of contact: the stylus radius is in them already."
	if !p.RadiusIncluded {
		ball = fmt.Sprintf("The touches were taken as the ball's centre: each face lies its radius, %s, further in.", u.Plain(p.StylusMM/2))
	}
	at := func(v float64, sd float64) string {
		n := u.Decimals(model.Factor95 * sd)
		return u.Signed(v, n)
	}
	major, _, _ := f.FeatureCov.Eigen()
	half := 2.4477468 * math.Sqrt(math.Max(major, 0))
	a.Lines = append(a.Lines,
		fmt.Sprintf("The part lies turned %s ± %s (95 %%), %s seen from above. Turn the coordinate system by %s, or set the part straight and touch again.",
			degrees(math.Abs(f.RotationRad), 3), degrees(f.RotationU95Rad(), 3), dir, degrees(f.RotationRad, 3)),
		ball,
		fmt.Sprintf("The new feature is then at X\u00a0%s, Y\u00a0%s on the drawing, which is X\u00a0%s, Y\u00a0%s in the machine, ± %s (95 %%).",
			u.Signed(p.Feature.X, d), u.Signed(p.Feature.Y, d), at(f.FeatureAt.X, math.Sqrt(f.FeatureCov.XX)), at(f.FeatureAt.Y, math.Sqrt(f.FeatureCov.YY)), small(half, u)))
	axis := "Y"
	if p.Check.Across() {
		axis = "X"
	}
	cd := u.Decimals(f.CheckU95MM)
	a.Lines = append(a.Lines, fmt.Sprintf("Check before cutting: with the new offset, touch the %s face near machine X\u00a0%s, Y\u00a0%s. %s has to show %s ± %s %s. Anything else: stop, find out why.",
		p.Check, u.Signed(f.CheckAt.X, 2), u.Signed(f.CheckAt.Y, 2), axis, u.Signed(f.CheckReads, cd), u.FormatU(f.CheckU95MM, cd), u))
	t := Table{Title: "Touches", Head: []string{"face", "off the face found"}, Note: "Of all touches together, by least squares. With three touches there is nothing left over to disagree."}
	for i, r := range f.Residuals {
		name := fmt.Sprintf("A %d, %s", i+1, p.A.Side)
		if k := i - len(p.A.Touches); k >= 0 {
			name = fmt.Sprintf("B %d, %s", k+1, p.B.Side)
		}
		t.Rows = append(t.Rows, []string{name, u.Signed(r, u.Decimals(p.ProbeSDMM)) + " " + u.String()})
	}
	if !math.IsNaN(f.PValue) {
		t.Note = fmt.Sprintf("Chance of touches disagreeing like this or worse: %s.", model.Percent(f.PValue))
	}
	a.Tables = []Table{t}
	a.Warnings = f.Warnings
	// A large number in green looks like one to type into the control.
	if len(examples) > 0 {
		faces := "face " + strings.Join(examples, " and face ")
		a.Grade, a.Headline = Doubt, "An example, not your offset"
		a.Warnings = append([]string{"The touches of " + faces + " are an example: type your own before anything here is used."}, a.Warnings...)
	}
	a.Cautions = append([]string{"Touch clean faces only, burr off; the same side of the ball, at the same depth and speed as when the probe was set.",
		"The faces' places must be those that were cut, not only those that were drawn: measure the part across them first."}, Cautions...)
	return a
}
