package chart

import (
	"image/color"
	"math"

	"evenrim/model"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// MapPoint is one mismatch on a target map.
type MapPoint struct {
	At    model.Vec  // mm
	Cov   model.Sym2 // mm²; zero = no ellipse
	K     float64    // ellipse half axes in standard deviations; 0 = 95 %
	Label string     // beside the point; "" = none
	Group int        // 0, 1, ...: mark, dash and colour
	Quiet bool       // one of many: a small mark and a faint ellipse
	Out   bool       // called out, as beyond a limit
}

// MapCloud is an ellipse that stands for many points.
type MapCloud struct {
	Centre model.Vec
	Cov    model.Sym2 // mm²
	K      float64    // 0 = 95 %
	Label  string
	Group  int
}

// Zone is the tolerance zone of a mismatch.
type Zone struct {
	ToleranceMM float64 // 0 = none to draw
	Shape       model.Zone
}

// MapOptions are how a target map looks. The zero value fits the data.
type MapOptions struct {
	Style     Style
	Unit      Unit
	Title     string
	HalfMM    float64 // half of the range shown; 0 = from the data
	Clouds    []MapCloud
	Groups    []string // names for a legend; nil = none
	HideSetup bool     // leave out the words "setup 1" and "setup 2"
	// Centre is the middle of the map, mm, and where labels point away from.
	Centre model.Vec
}

// factor95 makes an ellipse of one standard deviation hold 95 % of a normal
// distribution in the plane: sqrt(-2 ln 0.05).
var factor95 = math.Sqrt(-2 * math.Log(0.05))

// ReadingPoint is r on a target map, its ellipse as large as r states.
func ReadingPoint(r *model.Reading) MapPoint {
	p := MapPoint{At: r.Mismatch, Cov: r.Cov}
	if major, _, _ := r.Cov.Eigen(); major > 0 && r.U95MM > 0 {
		p.K = r.U95MM / math.Sqrt(major)
	}
	return p
}

// TargetMap draws where setup 2 landed (points, with the 95 % region of each)
// about where setup 1 did (the centre) and the tolerance zone. One mm is equally
// long on both axes.
func TargetMap(points []MapPoint, zone Zone, o MapOptions) *Chart {
	s, u := o.Style, o.Unit
	p := newPlot(s, o.Title, "X, "+u.String(), "Y, "+u.String())
	half := o.HalfMM
	if half <= 0 {
		half = mapRange(points, zone, o.Clouds)
	}
	h := u.Of(half)
	cx, cy := u.Of(o.Centre.X), u.Of(o.Centre.Y)
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = cx-h, cx+h, cy-h, cy+h
	p.X.Tick.Marker, p.Y.Tick.Marker = ticker{5}, ticker{5}

	m := mapDrawing{s: s, u: u, points: points, zone: zone, o: o}
	p.Add(layer(m.ground), layer(m.zoneLayer), layer(m.cloudLayer), layer(m.pointLayer), layer(m.legend))
	return &Chart{Plot: p, Equal: true, Inset: s.Pt(5)}
}

// mapRange is the half range, mm, that shows all with a margin.
func mapRange(points []MapPoint, zone Zone, clouds []MapCloud) float64 {
	half := zone.ToleranceMM * 1.3
	if zone.Shape == model.SquareZone {
		half = zone.ToleranceMM * 1.25
	}
	grow := func(at model.Vec, cov model.Sym2, k float64) {
		if !at.IsFinite() {
			return
		}
		k = orFactor95(k)
		x := math.Abs(at.X) + k*math.Sqrt(math.Max(cov.XX, 0))
		y := math.Abs(at.Y) + k*math.Sqrt(math.Max(cov.YY, 0))
		half = math.Max(half, 1.3*math.Max(x, y))
	}
	for _, p := range points {
		grow(p.At, p.Cov, p.K)
	}
	for _, c := range clouds {
		grow(c.Centre, c.Cov, c.K)
	}
	if !(half > 0) {
		half = 0.03
	}
	return half
}

func orFactor95(k float64) float64 {
	if k <= 0 {
		return factor95
	}
	return k
}

type mapDrawing struct {
	s      Style
	u      Unit
	points []MapPoint
	zone   Zone
	o      MapOptions
}

// to maps mm to the canvas.
func (m mapDrawing) to(c *draw.Canvas, p *plot.Plot) func(model.Vec) vg.Point {
	x, y := p.Transforms(c)
	return func(v model.Vec) vg.Point { return vg.Point{X: x(m.u.Of(v.X)), Y: y(m.u.Of(v.Y))} }
}

// ground is squared paper with the two axes through zero.
func (m mapDrawing) ground(c draw.Canvas, p *plot.Plot) {
	grid(m.s, true, true)(c, p)
	x, y := p.Transforms(&c)
	l := m.s.Line(m.s.Soft, hair)
	if c.ContainsX(x(0)) {
		c.StrokeLine2(l, x(0), c.Min.Y, x(0), c.Max.Y)
	}
	if c.ContainsY(y(0)) {
		c.StrokeLine2(l, c.Min.X, y(0), c.Max.X, y(0))
	}
}

func (m mapDrawing) zoneLayer(c draw.Canvas, p *plot.Plot) {
	t := m.zone.ToleranceMM
	if !(t > 0) {
		return
	}
	to := m.to(&c, p)
	var ring []vg.Point
	if m.zone.Shape == model.SquareZone {
		for _, k := range []model.Vec{{X: 1, Y: 1}, {X: -1, Y: 1}, {X: -1, Y: -1}, {X: 1, Y: -1}} {
			ring = append(ring, to(k.Scale(t)))
		}
	} else {
		ring = ellipsePath(to, model.Vec{}, model.Sym2{XX: t * t, YY: t * t}, 1)
	}
	c.FillPolygon(alpha(m.s.Ink, 0.055), c.ClipPolygonXY(ring))
	c.StrokeLines(m.s.Line(m.s.Ink, thin), c.ClipLinesXY(append(ring, ring[0]))...)

	// The zone's label keeps out of the way: below, on the side away from the
	// first mismatch.
	st := m.s.Text(Regular, noteSize, m.s.Soft)
	side := 1.0
	if len(m.points) > 0 && m.points[0].At.X > 0 {
		side = -1
	}
	at := to(model.Vec{Y: -t})
	if !c.Contains(at) {
		return // only a piece of it is in sight
	}
	words := "tolerance " + m.u.Plain(t)
	width := st.Width(words)
	if width > c.Size().X {
		return // the circle is the only one
	}
	st.YAlign = text.YTop
	st.XAlign = text.XLeft
	at.X += m.s.Pt(4)
	if side < 0 {
		st.XAlign = text.XRight
		at.X -= m.s.Pt(8)
	}
	at.Y -= m.s.Pt(3)
	if at.Y-st.Height(words) < c.Min.Y { // no room below the zone: inside it
		at.Y = c.Min.Y + st.Height(words) + m.s.Pt(2)
	}
	// Within the map at any size.
	if side < 0 {
		at.X = max(at.X, c.Min.X+width)
	} else {
		at.X = min(at.X, c.Max.X-width)
	}
	c.FillText(st, at, words)
}

func (m mapDrawing) cloudLayer(c draw.Canvas, p *plot.Plot) {
	to := m.to(&c, p)
	for _, cl := range m.o.Clouds {
		look := m.s.group(cl.Group)
		ring := ellipsePath(to, cl.Centre, cl.Cov, orFactor95(cl.K))
		c.FillPolygon(alpha(look.color, 0.10), c.ClipPolygonXY(ring))
		l := m.s.Line(look.color, thin, look.dash...)
		c.StrokeLines(l, c.ClipLinesXY(append(ring, ring[0]))...)
	}
}

func (m mapDrawing) pointLayer(c draw.Canvas, p *plot.Plot) {
	to := m.to(&c, p)
	zero := to(model.Vec{})
	single := len(m.points) == 1
	for _, q := range m.points {
		if !q.At.IsFinite() {
			continue
		}
		look := m.s.group(q.Group)
		at := to(q.At)
		if single && !m.o.HideSetup {
			c.StrokeLine2(m.s.Line(look.color, thin), zero.X, zero.Y, at.X, at.Y)
		}
		if q.Cov != (model.Sym2{}) {
			ring := ellipsePath(to, q.At, q.Cov, orFactor95(q.K))
			fill, edge := 0.20, 1.0
			if q.Quiet {
				fill, edge = 0.05, 0.35
			}
			c.FillPolygon(alpha(look.color, fill), c.ClipPolygonXY(ring))
			l := m.s.Line(alpha(look.color, edge), thin, look.dash...)
			c.StrokeLines(l, c.ClipLinesXY(append(ring, ring[0]))...)
		}
		if !c.Contains(at) {
			continue
		}
		r, w := m.s.Pt(3.2), m.s.Pt(1.2)
		if q.Quiet {
			r, w = m.s.Pt(2.3), m.s.Pt(1)
		}
		drawMark(&c, look.mark, at, r, look.color, m.s.Raised, w)
		if q.Out {
			ringAround(&c, at, r*2, m.s.Bad, w)
		}
	}
	// Setup 1's place is drawn last: a cross as a scriber leaves it.
	if c.Contains(zero) {
		drawMark(&c, cross, zero, m.s.Pt(4), m.s.Setup1, m.s.Raised, m.s.Pt(strong))
	}
	m.words(c, to)
}

func ringAround(c *draw.Canvas, at vg.Point, r vg.Length, col color.Color, w vg.Length) {
	var p vg.Path
	p.Move(vg.Point{X: at.X + r, Y: at.Y})
	p.Arc(at, r, 0, 2*math.Pi)
	c.SetLineStyle(draw.LineStyle{Color: col, Width: w})
	c.Stroke(p)
}

// words label the points. For one reading the two setups are named, away from
// each other along the mismatch.
func (m mapDrawing) words(c draw.Canvas, to func(model.Vec) vg.Point) {
	zero := to(model.Vec{})
	if len(m.points) == 1 && !m.o.HideSetup && m.points[0].At.IsFinite() {
		q := m.points[0]
		dir := model.Vec{X: 1, Y: 1}
		if q.At.Norm() > 0 {
			dir = q.At
		}
		m.label(c, to(q.At), dir, reach(to, q.At, dir, q.Cov, q.K)+m.s.Pt(6), "setup 2", m.s.Setup2)
		m.label(c, zero, dir.Scale(-1), m.s.Pt(7), "setup 1", m.s.Setup1)
	}
	for _, cl := range m.o.Clouds {
		look := m.s.group(cl.Group)
		drawMark(&c, cross, to(cl.Centre), m.s.Pt(5), m.s.Raised, m.s.Raised, m.s.Pt(2*strong))
		drawMark(&c, cross, to(cl.Centre), m.s.Pt(4.5), look.color, m.s.Raised, m.s.Pt(strong))
		if cl.Label != "" {
			dir := cl.Centre
			if dir.Norm() == 0 {
				dir = model.Vec{X: 1, Y: 1}
			}
			m.label(c, to(cl.Centre), dir, reach(to, cl.Centre, dir, cl.Cov, cl.K)+m.s.Pt(4), cl.Label, look.color)
		}
	}
	for _, q := range m.points {
		if q.Label == "" || !q.At.IsFinite() {
			continue
		}
		dir := q.At.Sub(m.o.Centre)
		if dir.Norm() == 0 {
			dir = model.Vec{X: 1, Y: 1}
		}
		if c.Contains(to(q.At)) {
			m.label(c, to(q.At), dir, m.s.Pt(6), q.Label, m.s.Ink)
		}
	}
}

// reach is how far an ellipse reaches on the page in the direction dir.
func reach(to func(model.Vec) vg.Point, at, dir model.Vec, cov model.Sym2, k float64) vg.Length {
	sd := math.Sqrt(math.Max(cov.Rotate(-dir.Angle()).XX, 0)) * orFactor95(k)
	p, q := to(at), to(at.Add(dir.Scale(sd/dir.Norm())))
	return vg.Length(math.Hypot(float64(q.X-p.X), float64(q.Y-p.Y)))
}

// label writes txt beside at in the direction dir, off by gap, kept inside.
func (m mapDrawing) label(c draw.Canvas, at vg.Point, dir model.Vec, gap vg.Length, txt string, col color.Color) {
	st := m.s.Text(Bold, noteSize, col)
	u := dir.Scale(1 / dir.Norm())
	w, h := st.Width(txt), st.Height(txt)
	// The text's box touches the circle of radius gap from outside.
	x := at.X + vg.Length(u.X)*(gap+w/2)
	y := at.Y + vg.Length(u.Y)*(gap+h/2)
	if in := min(max(x, c.Min.X+w/2+m.s.Pt(2)), c.Max.X-w/2-m.s.Pt(2)); in != x {
		// Pushed back from the border it would lie on its point: go above or below.
		x = in
		y = at.Y + vg.Length(math.Copysign(1, u.Y))*(gap+h/2)
	}
	y = min(max(y, c.Min.Y+h/2+m.s.Pt(1)), c.Max.Y-h/2-m.s.Pt(1))
	m.slip(c, x, y, w, h)
	st.XAlign, st.YAlign = text.XCenter, text.YCenter
	c.FillText(st, vg.Point{X: x, Y: y}, txt)
}

// slip is a piece of paper under words, so that no line runs through them.
func (m mapDrawing) slip(c draw.Canvas, x, y, w, h vg.Length) {
	pad := m.s.Pt(1)
	box := vg.Rectangle{
		Min: vg.Point{X: x - w/2 - pad, Y: y - h/2 + pad}, Max: vg.Point{X: x + w/2 + pad, Y: y + h/2 - pad},
	}
	c.SetColor(alpha(m.s.Raised, 0.8))
	c.Fill(box.Path())
}

// ellipsePath is the closed outline (without its first point again) of the
// ellipse of k standard deviations.
func ellipsePath(to func(model.Vec) vg.Point, centre model.Vec, cov model.Sym2, k float64) []vg.Point {
	major, minor, a := cov.Eigen()
	ra, rb := k*math.Sqrt(math.Max(major, 0)), k*math.Sqrt(math.Max(minor, 0))
	const n = 96
	out := make([]vg.Point, n)
	for i := range out {
		s, co := math.Sincos(2 * math.Pi * float64(i) / n)
		out[i] = to(centre.Add(model.Vec{X: ra * co, Y: rb * s}.Rotate(a)))
	}
	return out
}

// groupLook is how one batch is told from another.
type groupLook struct {
	color color.NRGBA
	mark  mark
	dash  []float64
}

// group gives setup 2's accent to the first group; the others are ink, told
// apart by mark and dash, for blue is setup 1's alone.
func (s Style) group(i int) groupLook {
	looks := []groupLook{
		{s.Setup2, dot, nil},
		{s.Ink, triangle, []float64{5, 2.5}},
		{s.Exit, square, []float64{1.5, 2}},
		{s.Doubt, diamond, []float64{6, 2, 1.5, 2}},
	}
	return looks[((i%len(looks))+len(looks))%len(looks)]
}

// legend names the groups at the top left, a name without room shortened.
func (m mapDrawing) legend(c draw.Canvas, _ *plot.Plot) {
	s := m.s
	st := s.Text(Regular, noteSize, s.Ink)
	st.YAlign = text.YCenter
	thumb, gap := s.Pt(22), s.Pt(4)
	for _, name := range m.o.Groups { // a short thumb rather than a short name
		thumb = max(min(thumb, c.Size().X-s.Pt(8)-gap-st.Width(name)), s.Pt(9))
	}
	x, y := c.Min.X+s.Pt(6), c.Max.Y-s.Pt(4)
	for i, name := range m.o.Groups {
		look, high := s.group(i), st.Height(name)+s.Pt(2)
		mid := y - high/2
		c.StrokeLine2(s.Line(look.color, thin, look.dash...), x, mid, x+thumb, mid)
		drawMark(&c, look.mark, vg.Point{X: x + thumb/2, Y: mid}, s.Pt(2.8), look.color, s.Raised, s.Pt(1))
		c.FillText(st, vg.Point{X: x + thumb + gap, Y: mid}, cut(st, name, c.Max.X-x-thumb-gap))
		y -= high
	}
}
