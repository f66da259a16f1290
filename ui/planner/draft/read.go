package draft

import (
	"math"
	"strconv"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/plan"
	"evenrim/model/practice"
)

func (d *Draft) person() (practice.Threshold, bool) {
	name := d.typed["person"]
	for _, t := range d.people {
		if t.Person == name {
			return t, true
		}
	}
	return practice.Threshold{}, false
}

func (r *reader) flip() (plan.Flip, plan.Carrier) {
	m, _ := plan.MaterialNamed(r.choice("material"))
	f := plan.Flip{
		LengthMM: r.mm("length"), WidthMM: r.mm("width"), ThicknessMM: r.mm("thickness"),
		Axis: axisOf(r.choice("flip")), Material: m, ToleranceMM: r.mm("tolerance"), Zone: zoneOf(r.choice("zone")),
		ProbeSDMM: r.mm("probe"), Touches: int(r.number("touches")), ProbeDepthMM: r.mm("probe-depth"),
		SameFaces: r.choice("faces") == sameFaces, FirstOnly: r.choice("every") == firstPart,
		RadiusMM: r.mm("radius"), LengthOf: r.mm("size"), FormMM: r.mm("form"), DriftMM: r.mm("drift"),
		SeatMM: r.mm("seat"), LiftMM: r.mm("lift"), SquareMM: r.mm("square"), JawMM: r.mm("jaw"),
		WarmK: r.number("warm"), Deflection1MM: r.mm("deflection-1"), Deflection2MM: r.mm("deflection-2"),
	}
	f.Features = r.features()
	c := plan.Carrier{MarginMM: r.mm("margin"), ToolMM: r.mm("tool"), StepdownMM: r.mm("stepdown"), OverMM: r.mm("over"),
		Tabs: int(r.number("tabs")), FreshFormMM: r.mm("fresh-form"), ProudMM: r.mm("proud")}
	return f, c
}

// mostFeatures keeps a pasted file from being taken for a list of holes.
const mostFeatures = 60

// features reads one feature a line: "name X Y" or "wall SIDE X Y".
func (r *reader) features() []plan.Feature {
	var out []plan.Feature
	text := r.lines("features")
	for i, l := range text {
		w := strings.Fields(l)
		t := plan.Feature{}
		switch {
		case len(w) == 4 && strings.EqualFold(w[0], "wall"):
			n, ok := plan.Side(strings.ToLower(w[1])).Normal()
			if !ok {
				r.fail("features", "Line %d: a wall looks left, right, front or rear, as in: wall right 80 -25", i+1)
				return nil
			}
			t.Name, t.Wall, t.NormalRad = strings.ToLower(w[1]), true, n.Angle()
		case len(w) == 3:
			t.Name = w[0]
		default:
			r.fail("features", "Line %d: name X Y for a hole (A 10 -10), wall SIDE X Y for a wall (wall right 80 -25).", i+1)
			return nil
		}
		at, err := r.pair(w[len(w)-2:])
		if err != nil {
			r.fail("features", "Line %d: %s", i+1, err)
			return nil
		}
		t.At = at
		if out = append(out, t); len(out) > mostFeatures {
			r.fail("features", "More than %d holes and walls: give those that matter most, far apart.", mostFeatures)
			return nil
		}
	}
	return out
}

// lines are a field's lines without empty ones.
func (r *reader) lines(key string) []string {
	text := r.d.Text(key)
	var out []string
	for _, l := range strings.FieldsFunc(text, func(c rune) bool { return c == '\n' || c == ';' }) {
		if strings.TrimSpace(l) != "" {
			out = append(out, l)
		}
	}
	return out
}

func (r *reader) pair(w []string) (model.Vec, error) {
	u := r.d.Units
	x, err := coordinate(w[0], u, true)
	if err != nil {
		return model.Vec{}, err
	}
	y, err := coordinate(w[1], u, true)
	return model.Vec{X: x, Y: y}, err
}

// touches reads one "X Y" a line.
func (r *reader) touches(key string) []model.Vec {
	var out []model.Vec
	for i, l := range r.lines(key) {
		w := wordsOf(key, l)
		if len(w) != 2 {
			r.fail(key, "Line %d: machine X and Y of one touch, as in: 105.00 242.05", i+1)
			return nil
		}
		p, err := r.pair(w)
		if err != nil {
			r.fail(key, "Line %d: %s", i+1, err)
			return nil
		}
		out = append(out, p)
	}
	return out
}

func (r *reader) camera() plan.Camera {
	c := plan.Camera{Name: r.choice("camera"), FieldRad: r.number("field") * math.Pi / 180, SensorMM: r.number("sensor"),
		LensMM: r.number("lens"), NearestMM: r.number("nearest")}
	w := strings.FieldsFunc(strings.ToLower(r.d.Text("pixels")), func(q rune) bool { return q == 'x' || q == '×' || q == ' ' })
	var err1, err2 error
	if len(w) == 2 {
		c.WidthPx, err1 = strconv.Atoi(w[0])
		c.HeightPx, err2 = strconv.Atoi(w[1])
	}
	if len(w) != 2 || err1 != nil || err2 != nil {
		r.fail("pixels", "Pixels of the photo: width x height, as in 4000 x 3000.")
	}
	return c
}

func lightOf(text string) plan.Light {
	if text == sideLight {
		return plan.SideLight
	}
	return plan.EvenLight
}

func (r *reader) see() plan.See {
	s := plan.See{Eye: plan.UntestedEye, Camera: r.camera(), Light: lightOf(r.choice("light")), ToleranceMM: r.mm("tolerance"), BoreMM: r.mm("bore"), Inch: r.d.Units == chart.Inch}
	if t, ok := r.d.person(); ok {
		s.Eye = plan.Eye{Person: t.Person, Share: t.Share, Low: t.Low95, High: t.High95}
	}
	if r.d.Own("eye") {
		// Changed by hand: as unsure, in proportion, as what it replaces.
		v := r.number("eye") / 100
		k := v / s.Eye.Share
		s.Eye = plan.Eye{Person: s.Eye.Person, Share: v, Low: s.Eye.Low * k, High: math.Min(s.Eye.High*k, 1)}
	}
	return s
}

func (r *reader) photo() plan.Photo {
	return plan.Photo{Camera: r.camera(), DistanceMM: r.mm("distance"), BoreMM: r.mm("bore"), ChamferMM: r.mm("chamfer"), ThicknessMM: r.mm("thickness"),
		HalfAngle: r.number("angle") * math.Pi / 180, ToleranceMM: r.mm("tolerance"), Light: lightOf(r.choice("light")), GoalMM: r.mm("goal"), Inch: r.d.Units == chart.Inch}
}

func (r *reader) pickUp() plan.PickUp {
	p := plan.PickUp{
		A:              plan.Face{Side: plan.Side(r.choice("a-side")), AtMM: r.mm("a-at"), Touches: r.touches("a-touches")},
		B:              plan.Face{Side: plan.Side(r.choice("b-side")), AtMM: r.mm("b-at"), Touches: r.touches("b-touches")},
		RadiusIncluded: r.choice("included") == contactPoint, StylusMM: r.mm("stylus"),
		ProbeSDMM: r.mm("probe"), FormMM: r.mm("form"), RadiusMM: r.mm("radius"), FaceMM: r.mm("face"),
		Check: plan.Side(r.choice("check-side")), CheckAtMM: r.mm("check-at"), CheckAlongMM: r.mm("check-along"),
	}
	w := strings.Fields(r.d.Text("new"))
	if len(w) != 2 {
		r.fail("new", "The new feature's X and Y on the drawing, as in: 45 12")
		return p
	}
	at, err := r.pair(w)
	if err != nil {
		r.fail("new", "The new feature: %s", err)
	}
	p.Feature = at
	return p
}

// modelKeys are the fields by the names that package plan and model use in errors,
// where they differ.
var modelKeys = map[string]string{"face-a": "a-touches", "face-b": "b-touches", "feature": "new", "check": "check-side"}

func keyOf(name string) string {
	if k, ok := modelKeys[name]; ok {
		return k
	}
	return name
}

// inUnits are the examples' lines, typed in mm, in the units shown.
func inUnits(key, text string, u chart.Unit) string {
	if u == chart.MM {
		return text
	}
	return rewrite(key, text, chart.MM, u)
}
