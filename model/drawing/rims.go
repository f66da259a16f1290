package drawing

import (
	"math"

	"evenrim/model"
)

// ringAndStrip draws a bore and its chamfer from above and the rim unrolled.
// off points from the bore's centre to the chamfer's.
func ringAndStrip(d *sketch, bore, width float64, off pt) (centre pt, strip func(clock, out float64) pt) {
	c := pt{X: 92, Y: 118}
	big := bore + width
	d.fill(d.metal(), pt{X: 8, Y: 34}, pt{X: 176, Y: 34}, pt{X: 176, Y: 202}, pt{X: 8, Y: 202})
	solid := model.Solid{RadiusMM: bore, WidthMM: width, HalfAngle: math.Pi / 4, Mismatch: off}

	// The chamfer's surface where it is, then the bore over it.
	d.fill(wash(d.s.Setup2, 0.30), circle(c.Add(off), big)...)
	d.fill(d.s.Raised, circle(c, bore)...)
	d.fill(wash(d.s.Ink, 0.28), circle(c, bore)...)
	var outer []pt
	flush := func() {
		d.line(d.s.Setup2, heavy, outer...)
		outer = nil
	}
	for i := range 361 {
		q, ok := solid.OuterEdge(float64(i) * math.Pi / 180)
		if !ok {
			flush()
			continue
		}
		outer = append(outer, c.Add(q))
	}
	flush()
	d.line(d.s.Setup1, heavy, circle(c, bore)...)

	// Unrolled: clockwise from 12, the hole below.
	x0, x1, base, tall := 206.0, 352.0, 96.0, 1.7
	strip = func(clock, out float64) pt {
		return pt{X: x0 + (x1-x0)*clock/12, Y: base + tall*math.Max(out, 0)}
	}
	top := make([]pt, 0, 97)
	for i := range 97 {
		h := 12 * float64(i) / 96
		top = append(top, strip(h, solid.WidthAt(math.Pi/2-h/12*2*math.Pi)))
	}
	lo, hi := strip(0, 0), strip(12, 0)
	d.fill(d.metal(), lo, hi, pt{X: x1, Y: 180}, pt{X: x0, Y: 180})
	d.fill(d.s.Raised, append(append([]pt{}, top...), hi, lo)...)
	d.fill(wash(d.s.Setup2, 0.30), append(append([]pt{}, top...), hi, lo)...)
	d.fill(wash(d.s.Ink, 0.28), pt{X: x0, Y: 76}, pt{X: x1, Y: 76}, hi, lo)
	// The line of the outer edge, without the stretches where it is gone.
	var run []pt
	for i, p := range top {
		h := 12 * float64(i) / 96
		if solid.WidthAt(math.Pi/2-h/12*2*math.Pi) > 0 {
			run = append(run, p)
			continue
		}
		d.line(d.s.Setup2, heavy, run...)
		run = nil
	}
	d.line(d.s.Setup2, heavy, run...)
	d.line(d.s.Setup1, heavy, lo, hi)
	for _, h := range []float64{0, 3, 6, 9, 12} {
		name := map[float64]string{0: "12", 3: "3", 6: "6", 9: "9", 12: "12"}[h]
		d.line(d.s.Soft, fine, strip(h, 0).Add(pt{Y: -20}), strip(h, 0).Add(pt{Y: -24}))
		d.say(name, d.s.Soft, strip(h, 0).Add(pt{Y: -31}), middle)
	}
	d.say("unrolled", d.s.Soft, pt{X: (x0 + x1) / 2, Y: 190}, middle)
	d.say("from above", d.s.Soft, pt{X: 92, Y: 24}, middle)
	return c, strip
}

func even(d *sketch) {
	c, _ := ringAndStrip(d, 48, 18, pt{})
	d.cross(d.s.Setup1, c, 6)
	for _, deg := range []float64{20, 110, 200, 290} {
		u := model.Polar(1, deg*math.Pi/180)
		d.both(d.s.Ink, c.Add(u.Scale(48)), c.Add(u.Scale(66)))
	}
	d.bold("the same width everywhere", d.s.Ink, pt{X: 279, Y: 36}, middle)
	d.say("setup 2 on setup 1", d.s.Soft, pt{X: 279, Y: 20}, middle)
}

func wide(d *sketch) {
	off := model.Polar(10, math.Pi/6) // 2 o'clock
	c, strip := ringAndStrip(d, 46, 17, off)
	u := off.Scale(1 / off.Norm())
	d.both(d.s.Ink, c.Add(u.Scale(46)), c.Add(u.Scale(73)))
	d.both(d.s.Ink, c.Sub(u.Scale(46)), c.Sub(u.Scale(53)))
	d.cross(d.s.Setup1, c, 6)
	d.cross(d.s.Setup2, c.Add(off), 6)
	d.bold("2 o'clock", d.s.Ink, pt{X: 176, Y: 192}, left)
	d.bold("wide", d.s.Ink, strip(2, 27).Add(pt{Y: 9}), middle)
	d.bold("narrow", d.s.Ink, strip(8, 7).Add(pt{Y: 10}), middle)
	d.bold("mismatch = ½ (widest − narrowest)", d.s.Ink, pt{X: 270, Y: 36}, middle)
	d.say("towards the wide side", d.s.Soft, pt{X: 270, Y: 20}, middle)
}

func gone(d *sketch) {
	off := pt{X: 18}
	c, strip := ringAndStrip(d, 48, 11, off)
	d.cross(d.s.Setup1, c, 6)
	d.cross(d.s.Setup2, c.Add(off), 6)
	d.bold("no", d.s.Ink, pt{X: 26, Y: 125}, middle)
	d.bold("chamfer", d.s.Ink, pt{X: 26 + 3, Y: 111}, middle)
	d.bold("none", d.s.Ink, strip(9, 0).Add(pt{Y: 9}), middle)
	d.bold("mismatch > width", d.s.Ink, pt{X: 279, Y: 36}, middle)
	d.say("the outer edge is a part of an arc", d.s.Soft, pt{X: 272, Y: 20}, middle)
}

// edges is a section through bore and chamfer, with the three rims named.
func edges(d *sketch) {
	top, bottom, wall, face := 176.0, 44.0, 150.0, 108.0
	depth := wall - face // 45 degrees
	right := func(p pt) pt { return pt{X: 360 - 60 - p.X, Y: p.Y} }
	half := []pt{{X: 24, Y: top}, {X: face, Y: top}, {X: wall, Y: top - depth}, {X: wall, Y: bottom}, {X: 24, Y: bottom}}
	other := make([]pt, len(half))
	for i, p := range half {
		other[i] = right(p)
	}
	// The bore is 40 units wide: the halves overlap otherwise.
	for _, side := range [][]pt{half, other} {
		_ = side
	}
	shift := pt{X: 50}
	for i := range other {
		other[i] = other[i].Add(shift)
	}
	// Behind the section the bore's wall and the chamfer's far side are seen.
	l, r := half[2].X, other[2].X
	d.fill(wash(d.s.Setup1, 0.10), pt{X: l, Y: top - depth}, pt{X: r, Y: top - depth}, pt{X: r, Y: bottom}, pt{X: l, Y: bottom})
	d.fill(wash(d.s.Setup2, 0.18), pt{X: half[1].X, Y: top}, pt{X: other[1].X, Y: top}, pt{X: r, Y: top - depth}, pt{X: l, Y: top - depth})
	for _, side := range [][]pt{half, other} {
		d.fill(d.metal(), side...)
		d.line(d.s.Ink, normal, side...)
	}
	d.line(d.s.Setup2, heavy, half[1], half[2])
	d.line(d.s.Setup2, heavy, other[1], other[2])
	d.line(d.s.Setup1, heavy, half[2], half[3])
	d.line(d.s.Setup1, heavy, other[2], other[3])
	d.line(d.s.Setup2, normal, half[1], other[1])
	d.dashed(d.s.Setup1, normal, half[2], other[2])
	d.dotted(d.s.Exit, heavy, half[3], other[3])

	mid := (l + r) / 2
	d.dashed(d.s.Soft, fine, pt{X: mid, Y: 30}, pt{X: mid, Y: 200})
	d.bold("outer edge", d.s.Setup2, pt{X: mid, Y: 189}, middle)
	d.bold("bore edge", d.s.Setup1, pt{X: mid, Y: top - depth - 12}, middle)
	d.bold("exit rim", d.s.Exit, pt{X: mid, Y: bottom - 13}, middle)
	d.say("chamfer", d.s.Setup2, pt{X: 70, Y: 140}, middle)
	d.say("(setup 2)", d.s.Setup2, pt{X: 70, Y: 126}, middle)
	d.say("bore", d.s.Setup1, pt{X: 70, Y: 84}, middle)
	d.say("(setup 1)", d.s.Setup1, pt{X: 70, Y: 70}, middle)
	// The width, as seen from above.
	d.line(d.s.Soft, fine, half[1].Add(pt{Y: 4}), half[1].Add(pt{Y: 26}))
	d.line(d.s.Soft, fine, pt{X: l, Y: top - depth + 4}, pt{X: l, Y: top + 26})
	d.both(d.s.Ink, half[1].Add(pt{Y: 20}), pt{X: l, Y: top + 20})
	d.say("width", d.s.Ink, pt{X: half[1].X - 4, Y: top + 20}, left)
	d.say("face", d.s.Soft, pt{X: other[0].X - 28, Y: top + 10}, middle)
}
