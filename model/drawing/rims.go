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
	d.bold("2 o'clock", d.s.Ink, pt{X: 170, Y: 193}, left)
	d.bold("wide", d.s.Ink, strip(2, 27).Add(pt{Y: 9}), middle)
	d.bold("narrow", d.s.Ink, strip(8, 7).Add(pt{Y: 20}), middle)
	d.bold("mismatch = half of", d.s.Ink, pt{X: 279, Y: 36}, middle)
	d.bold("(widest − narrowest)", d.s.Ink, pt{X: 279, Y: 20}, middle)
}

func gone(d *sketch) {
	off := pt{X: 18}
	c, strip := ringAndStrip(d, 48, 11, off)
	d.cross(d.s.Setup1, c, 6)
	d.cross(d.s.Setup2, c.Add(off), 6)
	d.bold("no chamfer", d.s.Ink, pt{X: 14, Y: 190}, right)
	d.line(d.s.Ink, fine, pt{X: 26, Y: 181}, c.Add(model.Polar(48, 165*math.Pi/180)))
	d.bold("none", d.s.Ink, strip(9, 0).Add(pt{Y: 9}), middle)
	d.bold("mismatch > width", d.s.Ink, pt{X: 279, Y: 36}, middle)
	d.say("the outer edge is an open arc", d.s.Soft, pt{X: 275, Y: 20}, middle)
}

// edges is a section through bore and chamfer, with the three rims named.
func edges(d *sketch) {
	const top, bottom, l, r, w = 172.0, 46.0, 142.0, 238.0, 40.0
	low := top - w // 45 degrees
	sides := [][]pt{
		{{X: 24, Y: top}, {X: l - w, Y: top}, {X: l, Y: low}, {X: l, Y: bottom}, {X: 24, Y: bottom}},
		{{X: 356, Y: top}, {X: r + w, Y: top}, {X: r, Y: low}, {X: r, Y: bottom}, {X: 356, Y: bottom}},
	}
	// Behind the section the bore's wall and the chamfer's far side are seen.
	d.fill(wash(d.s.Setup1, 0.10), pt{X: l, Y: low}, pt{X: r, Y: low}, pt{X: r, Y: bottom}, pt{X: l, Y: bottom})
	d.fill(wash(d.s.Setup2, 0.18), sides[0][1], sides[1][1], sides[1][2], sides[0][2])
	for _, s := range sides {
		d.fill(d.metal(), s...)
		d.line(d.s.Ink, normal, s...)
		d.line(d.s.Setup2, heavy, s[1], s[2])
		d.line(d.s.Setup1, heavy, s[2], s[3])
	}
	d.line(d.s.Setup2, heavy, sides[0][1], sides[1][1])
	d.dashed(d.s.Setup1, heavy, sides[0][2], sides[1][2])
	d.dotted(d.s.Exit, heavy, sides[0][3], sides[1][3])

	mid := (l + r) / 2
	d.dashed(d.s.Soft, fine, pt{X: mid, Y: 40}, pt{X: mid, Y: low - 22})
	d.dashed(d.s.Soft, fine, pt{X: mid, Y: low}, pt{X: mid, Y: top + 6})
	d.bold("outer edge", d.s.Setup2, pt{X: mid, Y: top + 15}, middle)
	d.bold("bore edge", d.s.Setup1, pt{X: mid, Y: low - 12}, middle)
	d.bold("exit rim", d.s.Exit, pt{X: mid, Y: bottom - 14}, middle)
	d.say("chamfer", d.s.Setup2, pt{X: 66, Y: 140}, middle)
	d.say("(setup 2)", d.s.Setup2, pt{X: 66, Y: 126}, middle)
	d.say("bore", d.s.Setup1, pt{X: 66, Y: 84}, middle)
	d.say("(setup 1)", d.s.Setup1, pt{X: 66, Y: 70}, middle)
	d.say("face", d.s.Soft, pt{X: 330, Y: top + 10}, middle)
	// The width, as seen from above.
	d.line(d.s.Soft, fine, pt{X: l - w, Y: top + 4}, pt{X: l - w, Y: top + 30})
	d.line(d.s.Soft, fine, pt{X: l, Y: low + 4}, pt{X: l, Y: top + 30})
	d.both(d.s.Ink, pt{X: l - w, Y: top + 25}, pt{X: l, Y: top + 25})
	d.say("width", d.s.Ink, pt{X: l - w - 5, Y: top + 25}, left)
}
