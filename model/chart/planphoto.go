package chart

import (
	"fmt"
	"image/color"
	"math"

	"evenrim/model"
	"evenrim/model/plan"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

type colour = color.Color

// FrameFigure shows how the hole should sit in the picture: the picture's frame
// with the rims to scale.
type FrameFigure struct {
	Plan  plan.PhotoPlan
	Unit  Unit
	Style Style
}

// Draw implements Figure.
func (f *FrameFigure) Draw(c draw.Canvas) {
	s, p := f.Style, f.Plan
	c.SetColor(s.Raised)
	c.Fill(c.Rectangle.Path())
	foot := s.Pt(15)
	room := draw.Crop(c, s.Pt(5), -s.Pt(5), s.Pt(4)+foot, -s.Pt(5))
	wpx, hpx := float64(p.Photo.Camera.WidthPx), float64(p.Photo.Camera.HeightPx)
	k := min(room.Size().X/vg.Length(wpx), room.Size().Y/vg.Length(hpx))
	if k <= 0 || !(p.PxPerMM > 0) {
		return
	}
	mid := room.Center()
	w, h := vg.Length(wpx)*k, vg.Length(hpx)*k
	fill(&c, s.Sunk, mid.X-w/2, mid.Y-h/2, mid.X+w/2, mid.Y+h/2)
	mm := vg.Length(p.PxPerMM) * k
	disc := func(at vg.Point, r vg.Length, fillCol, line color.Color, width float64) {
		var q vg.Path
		q.Move(vg.Point{X: at.X + r, Y: at.Y})
		q.Arc(at, r, 0, 2*math.Pi)
		q.Close()
		if fillCol != nil {
			c.SetColor(fillCol)
			c.Fill(q)
		}
		c.SetLineStyle(s.Line(line, width))
		c.Stroke(q)
	}
	r := vg.Length(p.Photo.BoreMM/2) * mm
	disc(mid, vg.Length(p.Photo.BoreMM/2+p.Photo.ChamferMM)*mm, s.Raised, s.Setup2, strong)
	bore := color.Color(alpha(s.Ink, 0.75))
	if p.Need == plan.NeedPaper {
		bore = alpha(s.Ink, 0.45)
	}
	disc(mid, r, bore, s.Setup1, strong)
	if p.Need == plan.NeedPaper && p.Photo.ThicknessMM > 0 {
		// The exit rim, as much smaller as it is farther away.
		disc(mid, r*vg.Length(p.DistanceMM/(p.DistanceMM+p.Photo.ThicknessMM)), s.Paper, s.Exit, thin)
	}
	c.SetLineStyle(s.Line(s.Ink, thin))
	var frame vg.Path
	frame.Move(vg.Point{X: mid.X - w/2, Y: mid.Y - h/2})
	for _, q := range []vg.Point{{X: mid.X + w/2, Y: mid.Y - h/2}, {X: mid.X + w/2, Y: mid.Y + h/2}, {X: mid.X - w/2, Y: mid.Y + h/2}} {
		frame.Line(q)
	}
	frame.Close()
	c.Stroke(frame)
	st := s.Text(Regular, noteSize, s.Soft)
	st.XAlign, st.YAlign = text.XCenter, text.YBottom
	words := fmt.Sprintf("the hole fills %.0f %% of the picture's short side", 100*p.FillShare)
	c.FillText(st, vg.Point{X: c.Center().X, Y: c.Min.Y + s.Pt(3)}, clipText(st, words, c.Size().X-s.Pt(8)))
}

// PickUpFigure shows the faces touched, the touches, the check face and the new
// feature, in drawing axes.
type PickUpFigure struct {
	Found plan.Found
	Unit  Unit
	Style Style
}

// Draw implements Figure.
func (f *PickUpFigure) Draw(c draw.Canvas) {
	s, p := f.Style, f.Found.PickUp
	c.SetColor(s.Raised)
	c.Fill(c.Rectangle.Path())
	onDrawing := func(m model.Vec) model.Vec { return m.Sub(f.Found.Offset).Rotate(-f.Found.RotationRad) }
	pts := []model.Vec{{}, p.Feature, checkPlace(p)}
	for _, face := range []plan.Face{p.A, p.B} {
		for _, t := range face.Touches {
			pts = append(pts, onDrawing(t))
		}
	}
	lo, hi := pts[0], pts[0]
	for _, q := range pts {
		lo = model.Vec{X: math.Min(lo.X, q.X), Y: math.Min(lo.Y, q.Y)}
		hi = model.Vec{X: math.Max(hi.X, q.X), Y: math.Max(hi.Y, q.Y)}
	}
	room := draw.Crop(c, s.Pt(46), -s.Pt(46), s.Pt(24), -s.Pt(24))
	k := min(room.Size().X/vg.Length(math.Max(hi.X-lo.X, 1)), room.Size().Y/vg.Length(math.Max(hi.Y-lo.Y, 1)))
	if k <= 0 {
		return
	}
	mid := lo.Add(hi).Scale(0.5)
	at := func(q model.Vec) vg.Point {
		return vg.Point{X: room.Center().X + vg.Length(q.X-mid.X)*k, Y: room.Center().Y + vg.Length(q.Y-mid.Y)*k}
	}
	say := func(q vg.Point, col color.Color, l Letter, words string, dx, dy float64) {
		st := s.Text(l, noteSize, col)
		st.XAlign, st.YAlign = text.XCenter, text.YCenter
		w := st.Width(words)
		q.X = min(max(q.X+s.Pt(dx), c.Min.X+w/2+s.Pt(2)), c.Max.X-w/2-s.Pt(2))
		q.Y += s.Pt(dy)
		c.FillText(st, q, words)
	}
	face := func(side plan.Side, place float64, name string, col color.Color, dash ...float64) {
		n, _ := side.Normal()
		a, b := model.Vec{X: place, Y: lo.Y - 4}, model.Vec{X: place, Y: hi.Y + 4}
		if !side.Across() {
			a, b = model.Vec{X: lo.X - 4, Y: place}, model.Vec{X: hi.X + 4, Y: place}
		}
		qa, qb := at(a), at(b)
		c.StrokeLine2(s.Line(col, strong, dash...), qa.X, qa.Y, qb.X, qb.Y)
		// Off the middle, where a touch is likely.
		m := vg.Point{X: qa.X + 0.36*(qb.X-qa.X), Y: qa.Y + 0.36*(qb.Y-qa.Y)}
		if side.Across() {
			say(m, col, Bold, name, n.X*20, 0)
		} else {
			say(m, col, Bold, name, 0, n.Y*9)
		}
	}
	face(p.A.Side, p.A.AtMM, "A", s.Ink)
	face(p.B.Side, p.B.AtMM, "B", s.Ink)
	face(p.Check, p.CheckAtMM, "check", s.Soft, 4, 3)
	for _, fc := range []plan.Face{p.A, p.B} {
		n, _ := fc.Side.Normal()
		for _, t := range fc.Touches {
			q := at(onDrawing(t))
			q.X, q.Y = q.X+s.Pt(n.X*4.5), q.Y+s.Pt(n.Y*4.5)
			drawMark(&c, dot, q, s.Pt(3), s.Doubt, s.Raised, s.Pt(1))
		}
	}
	z := at(model.Vec{})
	drawMark(&c, dot, z, s.Pt(2.4), s.Soft, s.Raised, s.Pt(1))
	c.StrokeLine2(s.Line(s.Soft, thin), z.X, z.Y, z.X+s.Pt(16), z.Y)
	c.StrokeLine2(s.Line(s.Soft, thin), z.X, z.Y, z.X, z.Y+s.Pt(16))
	say(z, s.Soft, Regular, "part zero", 30, -9)
	q := at(p.Feature)
	drawMark(&c, cross, q, s.Pt(5), s.Setup2, s.Raised, s.Pt(1.6))
	say(q, s.Setup2, Bold, "new feature", 0, 11)
}

// checkPlace is where on the drawing the check face is touched.
func checkPlace(p plan.PickUp) model.Vec {
	if p.Check.Across() {
		return model.Vec{X: p.CheckAtMM, Y: p.CheckAlongMM}
	}
	return model.Vec{X: p.CheckAlongMM, Y: p.CheckAtMM}
}
