package drawing

// plate is the part in section, a bore through its middle; with c > 0 a chamfer
// of that width round it, off to the right by off. The notch marks the face that
// lay up in setup 1.
func plate(d *sketch, lo, hi pt, bore, c, off float64) {
	mid := (lo.X + hi.X) / 2
	cl, cr := 0.0, 0.0 // widths left and right
	if c > 0 {
		cl, cr = c-off, c+off
	}
	left := []pt{{X: lo.X, Y: hi.Y}, {X: mid - bore - cl, Y: hi.Y}, {X: mid - bore, Y: hi.Y - cl}, {X: mid - bore, Y: lo.Y}, {X: lo.X, Y: lo.Y}, {X: lo.X, Y: hi.Y}}
	right := []pt{{X: hi.X, Y: hi.Y}, {X: mid + bore + cr, Y: hi.Y}, {X: mid + bore, Y: hi.Y - cr}, {X: mid + bore, Y: lo.Y}, {X: hi.X, Y: lo.Y}, {X: hi.X, Y: hi.Y}}
	for _, side := range [][]pt{left, right} {
		d.fill(d.metal(), side...)
		d.line(d.s.Ink, normal, side...)
		if c > 0 {
			d.line(d.s.Setup2, heavy, side[1], side[2])
		}
		d.line(d.s.Setup1, heavy, side[2], side[3])
	}
	// End for end: what was up on the left is below on the right.
	n, y, s := lo.X+15, hi.Y, -7.0
	if c > 0 {
		n, y, s = hi.X-15, lo.Y, 7
	}
	notch := []pt{{X: n - 5, Y: y}, {X: n, Y: y + s}, {X: n + 5, Y: y}}
	d.fill(d.s.Raised, notch...)
	d.line(d.s.Raised, heavy, notch[0], notch[2])
	d.line(d.s.Ink, normal, notch...)
}

func jaws(d *sketch, lo, hi pt) {
	for _, b := range [][2]pt{
		{{X: lo.X - 17, Y: lo.Y - 12}, {X: lo.X, Y: lo.Y + 22}}, {{X: hi.X, Y: lo.Y - 12}, {X: hi.X + 17, Y: lo.Y + 22}},
	} {
		box := []pt{b[0], {X: b[1].X, Y: b[0].Y}, b[1], {X: b[0].X, Y: b[1].Y}, b[0]}
		d.hatch(b[0], b[1], wash(d.s.Ink, 0.55), 5, 1)
		d.line(d.s.Ink, normal, box...)
	}
	d.line(d.s.Ink, normal, pt{X: lo.X - 17, Y: lo.Y - 12}, pt{X: hi.X + 17, Y: lo.Y - 12})
}

// twoSetups: bore from above, turn over, chamfer from the other side.
func twoSetups(d *sketch) {
	lo1, hi1 := pt{X: 28, Y: 52}, pt{X: 142, Y: 96}
	lo2, hi2 := pt{X: 218, Y: 52}, pt{X: 332, Y: 96}
	jaws(d, lo1, hi1)
	jaws(d, lo2, hi2)
	plate(d, lo1, hi1, 17, 0, 0)
	plate(d, lo2, hi2, 17, 13, 4)

	// Setup 1's drill through the bore, setup 2's chamfer tool above its cone.
	m1, m2 := (lo1.X+hi1.X)/2, (lo2.X+hi2.X)/2
	drill := []pt{{X: m1 - 17, Y: 178}, {X: m1 - 17, Y: 116}, {X: m1, Y: 104}, {X: m1 + 17, Y: 116}, {X: m1 + 17, Y: 178}}
	d.fill(wash(d.s.Setup1, 0.22), drill...)
	d.line(d.s.Setup1, normal, drill...)
	d.arrow(d.s.Setup1, normal, pt{X: m1 + 30, Y: 160}, pt{X: m1 + 30, Y: 120})
	x := m2 + 4
	cone := []pt{{X: x - 12, Y: 178}, {X: x - 12, Y: 152}, {X: x - 32, Y: 152}, {X: x, Y: 120}, {X: x + 32, Y: 152}, {X: x + 12, Y: 152}, {X: x + 12, Y: 178}}
	d.fill(wash(d.s.Setup2, 0.22), cone...)
	d.line(d.s.Setup2, normal, cone...)
	d.arrow(d.s.Setup2, normal, pt{X: m2 + 46, Y: 160}, pt{X: m2 + 46, Y: 120})
	d.dashed(d.s.Setup1, fine, pt{X: m2, Y: 40}, pt{X: m2, Y: 112})
	d.dashed(d.s.Setup2, fine, pt{X: x, Y: 60}, pt{X: x, Y: 186})

	d.turn(d.s.Ink, normal, pt{X: 180, Y: 118}, 20, 26, 150, -120)
	d.say("turn over", d.s.Ink, pt{X: 180, Y: 158}, middle)
	d.bold("setup 1: bore", d.s.Setup1, pt{X: m1, Y: 204}, middle)
	d.bold("setup 2: chamfer", d.s.Setup2, pt{X: m2, Y: 204}, middle)
	d.say("the notch shows which face is up", d.s.Soft, pt{X: 180, Y: 18}, middle)
}

// flip draws the plate from above before and after it is turned over about an
// axis of the machine.
func flip(d *sketch, aboutY bool) {
	draw := func(c pt, mirrorX, mirrorY bool, name string) {
		q := func(x, y float64) pt {
			if mirrorX {
				x = -x
			}
			if mirrorY {
				y = -y
			}
			return c.Add(pt{X: x, Y: y})
		}
		out := []pt{q(-52, -34), q(52, -34), q(52, 20), q(38, 34), q(-52, 34), q(-52, -34)}
		d.fill(d.metal(), out...)
		d.line(d.s.Ink, normal, out...)
		for _, h := range []pt{{X: -30, Y: -12}, {X: 26, Y: 10}} {
			at := q(h.X, h.Y)
			d.fill(d.s.Raised, circle(at, 9)...)
			d.line(d.s.Setup1, heavy, circle(at, 9)...)
			if mirrorX || mirrorY {
				d.line(d.s.Setup2, normal, circle(at.Add(pt{X: 1.5, Y: 1}), 14)...)
			}
		}
		d.say(name, d.s.Soft, c.Add(pt{Y: -76}), middle)
	}
	axes := func(c pt) {
		o := c.Add(pt{X: -62, Y: -48})
		d.arrow(d.s.Ink, normal, o, o.Add(pt{X: 26}))
		d.arrow(d.s.Ink, normal, o, o.Add(pt{Y: 26}))
		d.say("X", d.s.Ink, o.Add(pt{X: 33}), middle)
		d.say("Y", d.s.Ink, o.Add(pt{X: -8, Y: 24}), middle)
	}
	a, b := pt{X: 92, Y: 112}, pt{X: 272, Y: 112}
	draw(a, false, false, "as clamped in setup 1")
	draw(b, aboutY, !aboutY, "as clamped in setup 2")
	axes(a)
	axes(b)
	if aboutY {
		d.dashed(d.s.Soft, normal, a.Add(pt{Y: -42}), a.Add(pt{Y: 56}))
		d.turn(d.s.Ink, normal, a.Add(pt{Y: 60}), 26, 9, 160, -280)
		d.bold("about Y, end for end: X is mirrored", d.s.Ink, pt{X: 180, Y: 206}, middle)
		d.say("bore at X becomes bore at −X", d.s.Soft, pt{X: 180, Y: 14}, middle)
	} else {
		d.dashed(d.s.Soft, normal, a.Add(pt{X: -60}), a.Add(pt{X: 64}))
		d.turn(d.s.Ink, normal, a.Add(pt{X: 66}), 8, 24, 110, -290)
		d.bold("about X: Y is mirrored", d.s.Ink, pt{X: 180, Y: 206}, middle)
		d.say("bore at Y becomes bore at −Y", d.s.Soft, pt{X: 180, Y: 14}, middle)
	}
}

func flipAboutY(d *sketch) { flip(d, true) }
func flipAboutX(d *sketch) { flip(d, false) }
