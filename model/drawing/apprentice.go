package drawing

import (
	"image/color"
	"math"

	"evenrim/model"
)

// The drawings of the lessons that the words of the trade alone don't need.

// annulus fills the sector of a ring between two angles, degrees.
func (d *sketch) annulus(col color.Color, c pt, r0, r1, fromDeg, sweepDeg float64) {
	in := ring(c, r0, fromDeg, sweepDeg)
	out := ring(c, r1, fromDeg, sweepDeg)
	for i := len(in) - 1; i >= 0; i-- {
		out = append(out, in[i])
	}
	d.fill(col, out...)
}

// oneSidedLight is an even chamfer under one lamp and under a ring of them.
func oneSidedLight(d *sketch) {
	hole := func(c pt, shade func(deg float64) float64) {
		d.fill(d.metal(), c.Add(pt{X: -76, Y: -70}), c.Add(pt{X: 76, Y: -70}), c.Add(pt{X: 76, Y: 70}), c.Add(pt{X: -76, Y: 70}))
		for a := 0.0; a < 360; a += 6 {
			d.annulus(d.s.Raised, c, 38, 54, a, 6.5)
			d.annulus(wash(d.s.Ink, shade(a+3)), c, 38, 54, a, 6.5)
		}
		d.fill(d.s.Raised, circle(c, 38)...)
		d.fill(wash(d.s.Ink, 0.5), circle(c, 38)...)
		d.line(d.s.Setup2, normal, circle(c, 54)...)
		d.line(d.s.Setup1, normal, circle(c, 38)...)
	}
	lamp := func(p, to pt) {
		u := to.Sub(p).Scale(1 / to.Sub(p).Norm())
		n := pt{X: -u.Y, Y: u.X}
		d.line(d.s.Ink, normal, p.Add(n.Scale(9)), p.Add(u.Scale(-8)), p.Add(n.Scale(-9)), p.Add(n.Scale(9)))
		for _, s := range []float64{-5, 0, 5} {
			q := p.Add(n.Scale(s)).Add(u.Scale(4))
			d.line(d.s.Doubt, fine, q, q.Add(u.Scale(10)))
		}
	}
	a, b := pt{X: 92, Y: 104}, pt{X: 268, Y: 104}
	// The slope that faces the lamp lies on the far side of the hole.
	hole(a, func(deg float64) float64 { return 0.34 + 0.32*math.Cos((deg-135)*math.Pi/180) })
	hole(b, func(float64) float64 { return 0.16 })
	lamp(a.Add(pt{X: -66, Y: 66}), a)
	for _, deg := range []float64{0, 45, 90, 135, 180, 225, 270, 315} {
		lamp(b.Add(model.Polar(70, deg*math.Pi/180)), b)
	}
	d.bold("one lamp", d.s.Ink, pt{X: 92, Y: 190}, middle)
	d.say("bright looks wide, dark looks narrow", d.s.Soft, pt{X: 92, Y: 20}, middle)
	d.bold("light from all round", d.s.Ink, pt{X: 268, Y: 194}, middle)
	d.say("the same chamfer", d.s.Soft, pt{X: 268, Y: 20}, middle)
}

// flaws shows three unrolled rims: mismatch, burr, gouge.
func flaws(d *sketch) {
	strip := func(y float64, top func(h float64) float64, name, sub string) {
		const x0, x1 = 128.0, 348.0
		var edge []pt
		for i := range 181 {
			h := 12 * float64(i) / 180
			edge = append(edge, pt{X: x0 + (x1-x0)*h/12, Y: y + top(h)})
		}
		lo, hi := pt{X: x0, Y: y}, pt{X: x1, Y: y}
		d.fill(d.metal(), append(append([]pt{}, edge...), pt{X: x1, Y: y + 38}, pt{X: x0, Y: y + 38})...)
		d.fill(wash(d.s.Setup2, 0.30), append(append([]pt{}, edge...), hi, lo)...)
		d.fill(wash(d.s.Ink, 0.28), lo, hi, pt{X: x1, Y: y - 8}, pt{X: x0, Y: y - 8})
		d.line(d.s.Setup2, heavy, edge...)
		d.line(d.s.Setup1, heavy, lo, hi)
		d.bold(name, d.s.Ink, pt{X: 118, Y: y + 22}, left)
		d.say(sub, d.s.Soft, pt{X: 118, Y: y + 7}, left)
	}
	bump := func(h, at, half, size float64) float64 {
		t := math.Abs(h-at) / half
		if t >= 1 {
			return 0
		}
		return size * (1 + math.Cos(math.Pi*t)) / 2
	}
	strip(160, func(h float64) float64 { return 18 + 9*math.Cos((h-3)/12*2*math.Pi) }, "mismatch", "one slow wave")
	strip(98, func(h float64) float64 { return 18 - bump(h, 2, 0.6, 13) }, "burr or dirt", "short, narrow")
	strip(36, func(h float64) float64 { return 18 + bump(h, 8, 0.7, 13) }, "gouge", "short, wide")
	for _, h := range []float64{0, 3, 6, 9, 12} {
		x := 128 + 220*h/12
		d.line(d.s.Soft, fine, pt{X: x, Y: 26}, pt{X: x, Y: 22})
		d.say(map[float64]string{0: "12", 3: "3", 6: "6", 9: "9", 12: "12"}[h], d.s.Soft, pt{X: x, Y: 14}, middle)
	}
}

// rotation is a plate with four holes whose chamfers are turned about its middle,
// beside one whose chamfers are shifted.
func rotation(d *sketch) {
	plate := func(c pt, move func(p pt) pt) {
		box := []pt{c.Add(pt{X: -76, Y: -58}), c.Add(pt{X: 76, Y: -58}), c.Add(pt{X: 76, Y: 58}), c.Add(pt{X: -76, Y: 58}), c.Add(pt{X: -76, Y: -58})}
		d.fill(d.metal(), box...)
		d.line(d.s.Ink, fine, box...)
		for _, p := range []pt{{X: -50, Y: -32}, {X: 50, Y: -32}, {X: 50, Y: 32}, {X: -50, Y: 32}} {
			off := move(p)
			at := c.Add(p)
			d.fill(wash(d.s.Setup2, 0.30), circle(at.Add(off), 19)...)
			d.fill(d.s.Raised, circle(at, 12)...)
			d.fill(wash(d.s.Ink, 0.28), circle(at, 12)...)
			d.line(d.s.Setup2, heavy, circle(at.Add(off), 19)...)
			d.line(d.s.Setup1, heavy, circle(at, 12)...)
			u := off.Scale(1 / off.Norm())
			d.arrow(d.s.Ink, normal, at.Add(u.Scale(-7)), at.Add(u.Scale(9)))
		}
	}
	a, b := pt{X: 92, Y: 110}, pt{X: 268, Y: 110}
	plate(a, func(pt) pt { return pt{X: 4.5, Y: 1.5} })
	plate(b, func(p pt) pt { return p.Rotate(math.Pi / 2).Scale(0.085) })
	d.turn(d.s.Ink, normal, b, 16, 16, 20, 300)
	d.bold("shifted", d.s.Ink, pt{X: 92, Y: 190}, middle)
	d.say("all alike: move the work offset", d.s.Soft, pt{X: 92, Y: 26}, middle)
	d.bold("turned", d.s.Ink, pt{X: 268, Y: 190}, middle)
	d.say("each its own way: turn the part", d.s.Soft, pt{X: 268, Y: 26}, middle)
}

// pickUp is the part in both setups with the same two faces touched off.
func pickUp(d *sketch) {
	part := func(c pt, mirrored bool) {
		q := func(x, y float64) pt {
			if mirrored {
				x = -x
			}
			return c.Add(pt{X: x, Y: y})
		}
		out := []pt{q(-52, -38), q(52, -38), q(52, 24), q(38, 38), q(-52, 38), q(-52, -38)}
		d.fill(d.metal(), out...)
		d.line(d.s.Ink, fine, out...)
		ref := d.s.Setup1
		d.line(ref, 3.2, q(-52, -38), q(-52, 38))
		d.line(ref, 3.2, q(-52, -38), q(52, -38))
		at := q(18, 2)
		d.fill(d.s.Raised, circle(at, 10)...)
		d.line(d.s.Setup1, heavy, circle(at, 10)...)
		if mirrored {
			d.line(d.s.Setup2, normal, circle(at, 15)...)
		}
		for _, p := range [][2]pt{{q(-59, 8), q(-53, 8)}, {q(-14, -45), q(-14, -39)}} {
			d.line(d.s.Good, normal, circle(p[0], 6)...)
			d.cross(d.s.Good, p[0], 3)
		}
	}
	a, b := pt{X: 92, Y: 112}, pt{X: 268, Y: 112}
	part(a, false)
	part(b, true)
	d.turn(d.s.Ink, normal, pt{X: 180, Y: 112}, 16, 24, 150, -120)
	d.bold("setup 1", d.s.Setup1, pt{X: 92, Y: 178}, middle)
	d.bold("setup 2", d.s.Setup2, pt{X: 268, Y: 178}, middle)
	d.say("touch off on finished faces, the same two both times", d.s.Ink, pt{X: 180, Y: 204}, middle)
	d.say("end for end: the left face is now on the right", d.s.Soft, pt{X: 180, Y: 24}, middle)
}

// sawnEdge is a ragged, leaning edge with two touches that differ.
func sawnEdge(d *sketch) {
	const y0, y1 = 44.0, 186.0
	rag := []pt{}
	for i := range 29 {
		t := float64(i) / 28
		x := 96 + 16*t + 5*math.Sin(29*t) + 3*math.Sin(67*t+1)
		rag = append(rag, pt{X: x, Y: y0 + (y1-y0)*t})
	}
	body := append(append([]pt{}, rag...), pt{X: 300, Y: y1}, pt{X: 300, Y: y0})
	d.fill(d.metal(), body...)
	d.line(d.s.Ink, normal, rag...)
	d.line(d.s.Setup1, 3.2, pt{X: 300, Y: y0}, pt{X: 300, Y: y1})
	touch := func(y float64, name string) float64 {
		x := 0.0
		for _, p := range rag {
			if math.Abs(p.Y-y) < 9 && (x == 0 || p.X < x) {
				x = p.X
			}
		}
		c := pt{X: x - 8, Y: y}
		d.line(d.s.Bad, normal, circle(c, 8)...)
		d.cross(d.s.Bad, c, 4)
		d.say(name, d.s.Bad, c.Add(pt{X: -14}), left)
		d.dashed(d.s.Bad, fine, pt{X: x, Y: 28}, pt{X: x, Y: y1 + 8})
		return x
	}
	x1 := touch(70, "zero 1")
	x2 := touch(160, "zero 2")
	d.both(d.s.Bad, pt{X: x1, Y: 30}, pt{X: x2, Y: 30})
	d.say("several thou apart", d.s.Bad, pt{X: math.Max(x1, x2) + 16, Y: 30}, right)
	d.bold("sawn", d.s.Bad, pt{X: 104, Y: 205}, middle)
	d.bold("finished", d.s.Setup1, pt{X: 300, Y: 205}, middle)
	for _, y := range []float64{70, 160} {
		c := pt{X: 308, Y: y}
		d.line(d.s.Good, normal, circle(c, 8)...)
		d.cross(d.s.Good, c, 4)
	}
	d.say("one zero", d.s.Good, pt{X: 300, Y: 18}, middle)
	d.dashed(d.s.Good, fine, pt{X: 300, Y: 28}, pt{X: 300, Y: 196})
	d.say("setup 1's own cut", d.s.Soft, pt{X: 292, Y: 115}, left)
}

// handsOff is a turning spindle, with a ring that nobody reaches into, and a
// stopped one with a brush at the part.
func handsOff(d *sketch) {
	machine := func(c pt) {
		d.fill(d.metal(), c.Add(pt{X: -58, Y: -52}), c.Add(pt{X: 58, Y: -52}), c.Add(pt{X: 58, Y: -24}), c.Add(pt{X: -58, Y: -24}))
		d.line(d.s.Ink, normal, c.Add(pt{X: -58, Y: -52}), c.Add(pt{X: 58, Y: -52}), c.Add(pt{X: 58, Y: -24}), c.Add(pt{X: -58, Y: -24}), c.Add(pt{X: -58, Y: -52}))
		spindle := []pt{{X: -16, Y: 58}, {X: -16, Y: 34}, {X: -8, Y: 26}, {X: -8, Y: -6}, {X: 0, Y: -18}, {X: 8, Y: -6}, {X: 8, Y: 26}, {X: 16, Y: 34}, {X: 16, Y: 58}, {X: -16, Y: 58}}
		at := make([]pt, len(spindle))
		for i, p := range spindle {
			at[i] = c.Add(p)
		}
		d.fill(d.s.Sunk, at...)
		d.line(d.s.Ink, normal, at...)
	}
	a, b := pt{X: 92, Y: 116}, pt{X: 268, Y: 116}
	machine(a)
	machine(b)
	d.turn(d.s.Bad, heavy, a.Add(pt{Y: 12}), 26, 9, 200, 300)
	d.dashed(d.s.Bad, heavy, circle(a.Add(pt{Y: -6}), 70)...)
	d.bold("turning", d.s.Bad, pt{X: 92, Y: 204}, middle)
	d.say("hands, sleeves, rags: outside", d.s.Ink, pt{X: 92, Y: 24}, middle)
	// The brush.
	h := b.Add(pt{X: 66, Y: 20})
	tip := b.Add(pt{X: 22, Y: -22})
	u := tip.Sub(h).Scale(1 / tip.Sub(h).Norm())
	n := pt{X: -u.Y, Y: u.X}
	neck := h.Add(u.Scale(36))
	d.line(d.s.Good, 4, h, neck)
	for _, s := range []float64{-7, -3.5, 0, 3.5, 7} {
		d.line(d.s.Good, normal, neck.Add(n.Scale(s*0.6)), neck.Add(n.Scale(s)).Add(u.Scale(22)))
	}
	d.bold("stopped", d.s.Good, pt{X: 268, Y: 204}, middle)
	d.say("then a brush, then look", d.s.Ink, pt{X: 268, Y: 24}, middle)
}
