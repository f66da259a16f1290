package drawing

import (
	"math"

	"evenrim/model"
)

// plusX is a photo with the arrow and its angle.
func plusX(d *sketch) {
	frame := []pt{{X: 40, Y: 24}, {X: 250, Y: 24}, {X: 250, Y: 182}, {X: 40, Y: 182}, {X: 40, Y: 24}}
	d.fill(d.metal(), frame...)
	d.line(d.s.Ink, normal, frame...)
	c := pt{X: 132, Y: 92}
	d.fill(wash(d.s.Setup2, 0.30), circle(c, 40)...)
	d.fill(d.s.Raised, circle(c, 31)...)
	d.fill(wash(d.s.Ink, 0.28), circle(c, 31)...)
	d.line(d.s.Setup2, heavy, circle(c, 40)...)
	d.line(d.s.Setup1, heavy, circle(c, 31)...)

	a := 25 * math.Pi / 180
	x, y := model.Polar(1, a), model.Polar(1, a+math.Pi/2)
	d.dashed(d.s.Soft, fine, c, c.Add(pt{X: 108}))
	d.arrow(d.s.Ink, heavy, c, c.Add(x.Scale(100)))
	d.arrow(d.s.Ink, normal, c, c.Add(y.Scale(66)))
	d.bold("+X", d.s.Ink, c.Add(x.Scale(110)).Add(pt{Y: 6}), middle)
	d.bold("+Y", d.s.Ink, c.Add(y.Scale(76)), middle)
	d.turn(d.s.Ink, fine, c, 70, 70, 0, 23)
	d.say("25°", d.s.Ink, c.Add(pt{X: 82, Y: 15}), middle)
	d.say("image-right", d.s.Soft, c.Add(pt{X: 112, Y: -12}), left)
	d.say("the photo", d.s.Soft, pt{X: 145, Y: 194}, middle)
	d.say("setup 2's +X,", d.s.Ink, pt{X: 260, Y: 150}, right)
	d.say("as it lies", d.s.Ink, pt{X: 260, Y: 135}, right)
	d.say("in the photo", d.s.Ink, pt{X: 260, Y: 120}, right)
	d.say("counter-", d.s.Soft, pt{X: 260, Y: 92}, right)
	d.say("clockwise is +", d.s.Soft, pt{X: 260, Y: 77}, right)
}

// turnSet shows two photos of one hole; the mismatch turns, the camera's bias
// stays.
func turnSet(d *sketch) {
	one := func(c pt, turned bool, name string) {
		frame := []pt{{X: c.X - 72, Y: c.Y - 58}, {X: c.X + 72, Y: c.Y - 58}, {X: c.X + 72, Y: c.Y + 58}, {X: c.X - 72, Y: c.Y + 58}, {X: c.X - 72, Y: c.Y - 58}}
		d.line(d.s.Soft, fine, frame...)
		k := 1.0
		if turned {
			k = -1
		}
		q := func(x, y float64) pt { return c.Add(pt{X: k * x, Y: k * y}) }
		part := []pt{q(-56, -46), q(56, -46), q(56, 30), q(40, 46), q(-56, 46), q(-56, -46)}
		d.fill(d.metal(), part...)
		d.line(d.s.Ink, normal, part...)
		d.fill(d.s.Raised, circle(c, 26)...)
		d.line(d.s.Setup1, heavy, circle(c, 26)...)
		m := pt{X: 17, Y: 9}.Scale(k) // mismatch, with the part
		b := pt{X: -3, Y: 12}         // bias, with the camera
		d.arrow(d.s.Setup2, heavy, c, c.Add(m))
		d.arrow(d.s.Soft, normal, c.Add(m), c.Add(m).Add(b))
		d.cross(d.s.Setup1, c, 5)
		d.say(name, d.s.Ink, pt{X: c.X, Y: c.Y + 68}, middle)
	}
	one(pt{X: 86, Y: 118}, false, "photo 1")
	one(pt{X: 274, Y: 118}, true, "photo 2, part turned")
	d.turn(d.s.Ink, normal, pt{X: 180, Y: 118}, 13, 13, -60, 300)
	d.arrow(d.s.Setup2, heavy, pt{X: 36, Y: 38}, pt{X: 60, Y: 38})
	d.say("mismatch: turns with the part", d.s.Setup2, pt{X: 66, Y: 38}, right)
	d.arrow(d.s.Soft, normal, pt{X: 36, Y: 20}, pt{X: 60, Y: 20})
	d.say("the camera's own error: stays, and drops out", d.s.Soft, pt{X: 66, Y: 20}, right)
}

// leaningView is a section with the lines of sight to the middles of two rims.
func leaningView(d *sketch) {
	const top, bottom, l, r, w = 112.0, 22.0, 134.0, 214.0, 16.0
	sides := [][]pt{
		{{X: 24, Y: top}, {X: l - w, Y: top}, {X: l, Y: top - w}, {X: l, Y: bottom}, {X: 24, Y: bottom}, {X: 24, Y: top}},
		{{X: 324, Y: top}, {X: r + w, Y: top}, {X: r, Y: top - w}, {X: r, Y: bottom}, {X: 324, Y: bottom}, {X: 324, Y: top}},
	}
	for _, s := range sides {
		d.fill(d.metal(), s...)
		d.line(d.s.Ink, normal, s...)
		d.line(d.s.Setup2, heavy, s[1], s[2])
		d.line(d.s.Setup1, heavy, s[2], s[3])
	}
	mid := (l + r) / 2
	axis := func(y float64) pt { return pt{X: mid, Y: y} }
	// Parallel lines of sight, leaning to the right.
	lean := pt{X: 0.28, Y: 1}
	seen := func(deep, y float64) pt { return pt{X: mid + (deep+y-top)*lean.X, Y: y} }
	d.dashed(d.s.Soft, fine, axis(12), axis(top+46))
	d.line(d.s.Setup1, normal, axis(top-w), seen(w, top+46))
	d.dotted(d.s.Exit, normal, axis(bottom), seen(top-bottom, top+46))
	d.cross(d.s.Setup1, axis(top-w), 4)
	d.cross(d.s.Exit, axis(bottom), 4)
	d.camera(seen(w+24, top+74), lean.Scale(-1))
	d.dashed(d.s.Setup1, fine, sides[0][2], sides[1][2])
	d.dotted(d.s.Exit, normal, sides[0][3], sides[1][3])

	// How far each rim's middle seems to move on the face.
	d.arrow(d.s.Setup1, normal, axis(top+8), pt{X: seen(w, top).X + 2, Y: top + 8})
	d.arrow(d.s.Exit, normal, axis(top+22), pt{X: seen(top-bottom, top).X + 6, Y: top + 22})
	d.bold("bore edge", d.s.Setup1, pt{X: 79, Y: top - w}, middle)
	d.bold("exit rim", d.s.Exit, pt{X: 79, Y: bottom + 14}, middle)
	d.say("the bore edge seems", d.s.Setup1, pt{X: mid - 10, Y: top + 38}, left)
	d.say("to move a little", d.s.Setup1, pt{X: mid - 10, Y: top + 24}, left)
	d.say("the exit rim a lot:", d.s.Exit, pt{X: 232, Y: top + 38}, right)
	d.say("it tells the lean", d.s.Exit, pt{X: 232, Y: top + 24}, right)
}

// step is a wall in section, milled half from each side, with an indicator.
func step(d *sketch) {
	one := func(x float64, s float64, name, sign string) {
		// Setup 2's half above, setup 1's below; outwards is to the right.
		low := []pt{{X: x - 72, Y: 40}, {X: x, Y: 40}, {X: x, Y: 104}, {X: x - 72, Y: 104}}
		high := []pt{{X: x - 72, Y: 104}, {X: x + s, Y: 104}, {X: x + s, Y: 168}, {X: x - 72, Y: 168}}
		for _, h := range [][]pt{low, high} {
			d.fill(d.metal(), h...)
		}
		d.line(d.s.Ink, normal, high[2], high[3], low[0], low[1])
		d.line(d.s.Setup1, heavy, low[1], low[2])
		d.line(d.s.Setup2, heavy, high[1], high[2])
		d.line(d.s.Ink, normal, low[2], high[1])
		m := x - 36 + s/2
		d.say("setup 2's", d.s.Setup2, pt{X: m, Y: 143}, middle)
		d.say("half", d.s.Setup2, pt{X: m, Y: 129}, middle)
		d.say("setup 1's", d.s.Setup1, pt{X: x - 36, Y: 78}, middle)
		d.say("half", d.s.Setup1, pt{X: x - 36, Y: 64}, middle)
		far := x + math.Max(s, 0)
		d.dashed(d.s.Soft, fine, pt{X: x, Y: 104}, pt{X: x, Y: 182})
		d.both(d.s.Ink, pt{X: math.Min(x, x+s), Y: 176}, pt{X: far, Y: 176})
		d.bold(name, d.s.Ink, pt{X: x - 20, Y: 203}, middle)
		d.bold(sign, d.s.Ink, pt{X: x - 20, Y: 189}, middle)
		// The indicator's ball on setup 1's half, to be run over the step.
		ball := pt{X: x + 6, Y: 62}
		d.line(d.s.Ink, normal, circle(ball, 6)...)
		d.line(d.s.Ink, normal, ball.Add(pt{X: 6}), ball.Add(pt{X: 30, Y: 4}))
		d.line(d.s.Ink, normal, circle(ball.Add(pt{X: 42, Y: 6}), 12)...)
		d.line(d.s.Ink, fine, ball.Add(pt{X: 42, Y: 6}), ball.Add(pt{X: 47, Y: 14}))
		d.arrow(d.s.Soft, normal, pt{X: far + 20, Y: 92}, pt{X: far + 20, Y: 132})
	}
	one(100, 16, "proud", "step +")
	one(266, -16, "shy", "step −")
	d.say("an indicator is run from setup 1's half over to setup 2's", d.s.Soft, pt{X: 180, Y: 18}, middle)
}

// sizeOrMismatch is a part in section with both walls stepped.
func sizeOrMismatch(d *sketch) {
	one := func(c pt, leftStep, rightStep float64, name, sub string) {
		low := []pt{c.Add(pt{X: -52, Y: -46}), c.Add(pt{X: 52, Y: -46}), c.Add(pt{X: 52, Y: 0}), c.Add(pt{X: -52, Y: 0}), c.Add(pt{X: -52, Y: -46})}
		high := []pt{c.Add(pt{X: -52 - leftStep, Y: 0}), c.Add(pt{X: 52 + rightStep, Y: 0}), c.Add(pt{X: 52 + rightStep, Y: 46}), c.Add(pt{X: -52 - leftStep, Y: 46}), c.Add(pt{X: -52 - leftStep, Y: 0})}
		d.fill(d.metal(), low...)
		d.fill(d.metal(), high...)
		d.line(d.s.Ink, fine, low...)
		d.line(d.s.Ink, fine, high...)
		d.line(d.s.Setup1, heavy, low[3], low[4])
		d.line(d.s.Setup1, heavy, low[1], low[2])
		d.line(d.s.Setup2, heavy, high[3], high[4])
		d.line(d.s.Setup2, heavy, high[1], high[2])
		word := func(s float64) string {
			if s > 0 {
				return "proud"
			}
			return "shy"
		}
		d.say(word(leftStep), d.s.Ink, c.Add(pt{X: -56, Y: 60}), middle)
		d.say(word(rightStep), d.s.Ink, c.Add(pt{X: 56, Y: 60}), middle)
		d.say("setup 2", d.s.Setup2, c.Add(pt{Y: 22}), middle)
		d.say("setup 1", d.s.Setup1, c.Add(pt{Y: -23}), middle)
		d.bold(name, d.s.Ink, c.Add(pt{Y: 86}), middle)
		d.say(sub, d.s.Soft, c.Add(pt{Y: -68}), middle)
	}
	one(pt{X: 92, Y: 108}, -11, 11, "mismatch", "one proud, one shy")
	one(pt{X: 268, Y: 108}, 11, 11, "size", "both proud by the same")
}
