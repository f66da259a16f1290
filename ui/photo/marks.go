package photo

import (
	"image/color"
	"math"

	"git.sr.ht/~sbinet/gg"
)

// drawMarks writes the words of all marks on slips at the ends of short leaders:
// clear of the rims, of each other and of the arrow, inside the picture.
func drawMarks(dc *gg.Context, o Overlay, v View, k float64) {
	if len(o.Marks) == 0 {
		return
	}
	room := tagRoom{area: box{0, 0, float64(dc.Width()), float64(dc.Height())}, edge: 4 * k}
	if o.PhotoW > 0 && o.PhotoH > 0 {
		room.area.x0, room.area.y0 = later(v.ToDevice(-0.5, -0.5))(room.area.x0, room.area.y0)
		x1, y1 := v.ToDevice(float64(o.PhotoW)-0.5, float64(o.PhotoH)-0.5)
		room.area.x1, room.area.y1 = min(room.area.x1, x1), min(room.area.y1, y1)
	}
	for _, l := range o.Lines {
		for i := 1; i < len(l.Path); i++ {
			ax, ay := v.ToDevice(l.Path[i-1].X, l.Path[i-1].Y)
			bx, by := v.ToDevice(l.Path[i].X, l.Path[i].Y)
			room.lines = append(room.lines, [4]float64{ax, ay, bx, by})
		}
	}
	if o.Axes != nil {
		ox, oy := v.ToDevice(o.Axes.Origin.X, o.Axes.Origin.Y)
		tip := o.Axes.Tip()
		tx, ty := v.ToDevice(tip.X, tip.Y)
		room.lines = append(room.lines, [4]float64{ox, oy, tx, ty})
		room.taken = append(room.taken, box{tx - 18*k, ty - 18*k, tx + 18*k, ty + 18*k})
	}
	size := letters(o.Text) * k
	for _, m := range o.Marks {
		if w, h := slipSize(m.Words, size, k); room.area.x1-room.area.x0 < w || room.area.y1-room.area.y0 < slipsHigh*h {
			return // they would hide what they name; the sheet says the same
		}
	}
	for _, m := range o.Marks {
		drawMark(dc, m, v, size, k, &room)
	}
}

// slipsHigh is how many slips high a picture must be to bear any.
const slipsHigh = 8

// letters is the size of a mark's words, layout pixels: the picture needs room too, so
// it grows by half of what the text of the page does.
func letters(text float64) float64 { return 13 * (1 + max(text-1, 0)/2) }

func slipSize(words string, size, k float64) (w, h float64) {
	w, h = measure(words, size)
	return w + 14*k, h + 10*k
}

// later returns a function that takes the larger of two pairs.
func later(x, y float64) func(a, b float64) (float64, float64) {
	return func(a, b float64) (float64, float64) { return max(x, a), max(y, b) }
}

func drawMark(dc *gg.Context, m Mark, v View, size, k float64, room *tagRoom) {
	x, y := v.ToDevice(m.At.X, m.At.Y)
	fx, fy := v.ToDevice(m.From.X, m.From.Y)
	if x == fx && y == fy || x < -20*k || y < -20*k || x > float64(dc.Width())+20*k || y > float64(dc.Height())+20*k {
		return // the place itself is out of sight
	}
	w, h := slipSize(m.Words, size, k)
	slip := room.place(x, y, fx, fy, w, h, 14*k)
	room.taken = append(room.taken, slip)
	// The leader ends on the slip's border nearest to the place.
	lx, ly := slip.nearest(x, y)
	for _, pass := range []struct {
		c color.NRGBA
		w float64
	}{{shade, 3.5}, {m.Colour, 1.4}} {
		dc.SetColor(pass.c)
		dc.SetLineWidth(pass.w * k)
		stroke(dc, x, y, lx, ly)
	}
	tag(dc, m.Words, (slip.x0+slip.x1)/2, (slip.y0+slip.y1)/2, size, m.Colour)
}

// tagRoom is where slips may lie, device px.
type tagRoom struct {
	area  box // the part of the picture in sight
	edge  float64
	lines [][4]float64 // rims
	taken []box
}

// place finds room for a slip of w x h for the place (x, y) on a rim about
// (fx, fy): as near as it goes, rather outwards than inwards. Where there is no
// room clear of everything it takes the place inside the picture that covers the
// least of the rims.
func (r *tagRoom) place(x, y, fx, fy, w, h, gap float64) box {
	out := math.Atan2(y-fy, x-fx)
	best, least := box{}, math.Inf(1)
	for _, far := range []float64{1, 2.5, 5, 9, 14, 20} {
		for _, deg := range []float64{0, 20, -20, 40, -40, 60, -60, 80, -80, 180, 150, -150, 120, -120} {
			s, c := math.Sincos(out + deg*math.Pi/180)
			d := far*gap + math.Abs(c)*w/2 + math.Abs(s)*h/2 // the near side is that far away
			at := box{x + c*d - w/2, y + s*d - h/2, x + c*d + w/2, y + s*d + h/2}
			cost := far*gap + math.Abs(deg)/2*gap/14
			in := at.into(r.area, r.edge)
			cost += 20 * (math.Abs(in.x0-at.x0) + math.Abs(in.y0-at.y0)) // pushed into the picture: it may now lie on a rim
			cost += 1e4 * (r.covered(in, gap/2) + r.crossed(x, y, in))
			if cost < least {
				best, least = in, cost
			}
		}
	}
	return best
}

// covered is how much of rims and slips a slip with a margin would lie on.
func (r *tagRoom) covered(b box, margin float64) float64 {
	b = box{b.x0 - margin, b.y0 - margin, b.x1 + margin, b.y1 + margin}
	n := 0.0
	for _, l := range r.lines {
		if _, _, _, _, ok := b.clip(l[0], l[1], l[2], l[3]); ok {
			n++
		}
	}
	for _, t := range r.taken {
		if b.x0 < t.x1 && t.x0 < b.x1 && b.y0 < t.y1 && t.y0 < b.y1 {
			n += 1000 // words over words: no rim is as hard to read
		}
	}
	return n
}

// crossed is how much of other slips' words the leader from (x, y) to b would cross.
func (r *tagRoom) crossed(x, y float64, b box) float64 {
	n := 0.0
	for _, t := range r.taken {
		lx, ly := b.nearest(x, y)
		if _, _, _, _, ok := t.clip(x, y, lx, ly); ok {
			n += 500
		}
	}
	return n
}

// nearest is the point of b nearest to (x, y).
func (b box) nearest(x, y float64) (float64, float64) {
	return min(max(x, b.x0), b.x1), min(max(y, b.y0), b.y1)
}

// into moves b into an area, if it fits there.
func (b box) into(area box, edge float64) box {
	w, h := b.x1-b.x0, b.y1-b.y0
	x := max(min(b.x0, area.x1-edge-w), area.x0+edge)
	y := max(min(b.y0, area.y1-edge-h), area.y0+edge)
	return box{x, y, x + w, y + h}
}
