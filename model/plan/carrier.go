package plan

import (
	"math"

	"evenrim/model"
)

// Carrier is the other way to cut both sides: the part stays in a frame of its own
// stock, whose faces setup 1 mills and setup 2 touches, and is cut off its tabs at
// the end.
type Carrier struct {
	MarginMM    float64 // of frame round the part, each side
	ToolMM      float64 // cutter that goes round the part
	StepdownMM  float64 // depth of a pass
	OverMM      float64 // stock left on each face of the bar, either way
	Tabs        int     // that hold the part
	FreshFormMM float64 // peak to valley of the faces milled in setup 1
	ProudMM     float64 // how far the tool's deflection leaves them proud, spring pass included
}

// UsualCarrier has common values without a source.
func UsualCarrier() Carrier {
	return Carrier{MarginMM: 12, ToolMM: 8, StepdownMM: 3, OverMM: 1.5, Tabs: 4, FreshFormMM: 0.004, ProudMM: 0.002}
}

// Validate returns the first *InputError of c, or nil.
func (c Carrier) Validate() error {
	for _, v := range []struct {
		field, name string
		mm, least   float64
	}{
		{"margin", "frame round the part", c.MarginMM, 1}, {"tool", "cutter", c.ToolMM, 0.5},
		{"stepdown", "depth of a pass", c.StepdownMM, 0.05}, {"over", "stock on each face", c.OverMM, 0}, {"fresh-form", "form of the milled faces", c.FreshFormMM, 0}, {"proud", "stand of the milled faces", c.ProudMM, 0},
	} {
		if !(v.mm >= v.least) || v.mm > 200 {
			return wrong(v.field, "The %s must be between %g and 200 mm.", v.name, v.least)
		}
	}
	if c.MarginMM <= c.ToolMM {
		return wrong("margin", "A frame of %.4g mm leaves nothing beside a cutter of %.4g mm: make it wider.", c.MarginMM, c.ToolMM)
	}
	if c.Tabs < 1 || c.Tabs > 50 {
		return wrong("tabs", "Tabs: 1 to 50.")
	}
	return nil
}

// Flip is f cut in the carrier: the frame is what is held and touched.
func (c Carrier) Flip(f Flip) Flip {
	g := f
	g.MilledFaces, g.FirstOnly = true, false
	g.FormMM, g.FaceProudMM = c.FreshFormMM, c.ProudMM
	g.LengthMM += 2 * c.MarginMM
	g.WidthMM += 2 * c.MarginMM
	g.Features = make([]Feature, len(f.Features))
	for i, t := range f.Features {
		t.At = t.At.Add(model.Vec{X: c.MarginMM, Y: -c.MarginMM})
		g.Features[i] = t
	}
	return g
}

// Way is what one way of making the part takes and gives.
type Way struct {
	Outlook
	StockMM3 float64
	// Passes are depth steps of the side mill, counted, not timed: round the part from
	// both sides, along reference faces, through tabs.
	Passes int
}

// SideBySide is the flip in the vise against the carrier.
type SideBySide struct{ Vise, Carrier Way }

// Compare looks at both ways. In the vise the part is cut from stock with OverMM
// on each face, two reference faces are squared first at full height, and each
// side is contoured to half way. In the carrier the two reference faces of the
// frame are milled, the cutter goes round in a slot, so twice at each depth
// (rough, then finish), and the tabs are cut one by one.
func (c Carrier) Compare(f Flip, parts int, seed uint64) (SideBySide, error) {
	if err := c.Validate(); err != nil {
		return SideBySide{}, err
	}
	vise, err := f.Look(parts, seed)
	if err != nil {
		return SideBySide{}, err
	}
	carrier, err := c.Flip(f).Look(parts, seed)
	if err != nil {
		return SideBySide{}, err
	}
	high := f.ThicknessMM + 2*c.OverMM
	volume := func(margin float64) float64 { return (f.LengthMM + 2*margin) * (f.WidthMM + 2*margin) * high }
	steps := func(depth float64) int { return int(math.Ceil(depth/c.StepdownMM - 1e-9)) }
	// A little past half way from each side, so that nothing is left between.
	side := steps(f.ThicknessMM/2 + c.OverMM)
	return SideBySide{
		Vise:    Way{vise, volume(c.OverMM), 2*side + 2*steps(high)},
		Carrier: Way{carrier, volume(c.MarginMM), 2*2*side + 2*steps(high) + c.Tabs*steps(f.ThicknessMM/2)},
	}, nil
}
