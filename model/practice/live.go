package practice

import (
	"math"

	"evenrim/model"
)

// Slider is one thing to play with under a live picture.
type Slider struct {
	Key            Knob
	Label          string
	Min, Max, Step float64
	Start          float64
	Unit           string
}

// Knob names what a slider moves.
type Knob string

const (
	KnobShare   Knob = "share"   // mismatch, % of the chamfer's width
	KnobHour    Knob = "hour"    // where the mismatch points, hours of the clock
	KnobTilt    Knob = "tilt"    // camera's lean, degrees
	KnobLean    Knob = "lean"    // where the camera leans to, hours
	KnobLight   Knob = "light"   // where the light comes from, hours
	KnobWidth   Knob = "width"   // true width, % of the drawing's
	KnobFlaw    Knob = "flaw"    // size of a flaw, % of the chamfer's width
	KnobFlawArc Knob = "flawarc" // its arc, degrees
)

// Live is a picture drawn anew while sliders move.
type Live struct {
	Name    string
	Sliders []Slider
	light   Light
	paper   bool
	flaw    FlawKind
}

func hourSlider(k Knob, label string, start float64) Slider {
	return Slider{Key: k, Label: label, Min: 0, Max: 11.5, Step: 0.5, Start: start, Unit: "o'clock"}
}

var (
	shareSlider = Slider{Key: KnobShare, Label: "Mismatch", Min: 0, Max: 150, Step: 1, Start: 40, Unit: "% of the width"}
	tiltSlider  = Slider{Key: KnobTilt, Label: "Camera leans by", Min: 0, Max: 8, Step: 0.1, Start: 0, Unit: "°"}
)

func withStart(s Slider, start float64) Slider { s.Start = start; return s }

// Lives are all live pictures.
var Lives = []Live{
	{Name: "mismatch", Sliders: []Slider{withStart(shareSlider, 30), hourSlider(KnobHour, "Towards", 2)}},
	{Name: "vanish", Sliders: []Slider{withStart(shareSlider, 110), hourSlider(KnobHour, "Towards", 3)}},
	{Name: "tilt", Sliders: []Slider{withStart(tiltSlider, 5), hourSlider(KnobLean, "Leaning to", 9), withStart(shareSlider, 0)}, paper: true},
	{Name: "light", Sliders: []Slider{hourSlider(KnobLight, "Light from", 10), withStart(shareSlider, 0), hourSlider(KnobHour, "Towards", 3)}, light: SideLight},
	{Name: "flaw", Sliders: []Slider{
		{Key: KnobFlaw, Label: "Burr", Min: 0, Max: 80, Step: 1, Start: 45, Unit: "% of the width"},
		{Key: KnobFlawArc, Label: "over", Min: 5, Max: 60, Step: 1, Start: 28, Unit: "° of the rim"},
		withStart(shareSlider, 0)}, flaw: Burr},
	{Name: "width", Sliders: []Slider{
		{Key: KnobWidth, Label: "Chamfer", Min: 40, Max: 170, Step: 1, Start: 150, Unit: "% of the drawing's"},
		withStart(shareSlider, 0), hourSlider(KnobHour, "Towards", 8)}},
}

// LiveNamed finds a live picture.
func LiveNamed(name string) (Live, bool) {
	for _, l := range Lives {
		if l.Name == name {
			return l, true
		}
	}
	return Live{}, false
}

// Live pictures show one hole of our own bracket, mm.
const liveBore, liveWidth = 6.0, 0.60

// LiveSide is the side of a live picture, px.
const LiveSide = 420

// hourToScreen is where an hour of the clock lies on the screen.
func hourToScreen(h float64) float64 { return math.Pi/2 - h*hourRad }

// Shot is the picture for the sliders' values; missing ones count as their start.
func (l Live) Shot(v map[Knob]float64) Shot {
	get := func(k Knob, other float64) float64 {
		if x, ok := v[k]; ok {
			return x
		}
		for _, s := range l.Sliders {
			if s.Key == k {
				return s.Start
			}
		}
		return other
	}
	s := Shot{
		Seed: 11, WidthPx: LiveSide, HeightPx: LiveSide, BoreMM: liveBore, ChamferMM: liveWidth, NominalMM: liveWidth, ThicknessMM: 9,
		DistanceMM: 150, Light: EvenLight, Backing: DarkBacking, Marks: 0.02, MarksRad: 0.6, Grain: 0.02,
	}
	s.PxPerMM = 0.72 * LiveSide / (liveBore + 2*liveWidth)
	if l.light != "" {
		s.Light = l.light
	}
	if l.paper {
		s.Backing = PaperBacking
	}
	s.ChamferMM *= get(KnobWidth, 100) / 100
	s.Mismatch = model.Polar(get(KnobShare, 0)/100*s.ChamferMM, hourToScreen(get(KnobHour, 3)))
	lean, to := get(KnobTilt, 0)*math.Pi/180, hourToScreen(get(KnobLean, 9))
	s.TiltX, s.TiltY = lean*math.Cos(to), lean*math.Sin(to)
	s.LightRad = hourToScreen(get(KnobLight, 10))
	if size := get(KnobFlaw, 0) / 100 * s.ChamferMM; l.flaw != "" && size > 0.002 {
		s.Flaws = []Flaw{{Kind: l.flaw, AtRad: hourToScreen(2), WidthRad: get(KnobFlawArc, 20) * math.Pi / 180, SizeMM: size}}
	}
	return s
}
