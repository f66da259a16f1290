package report

import (
	"fmt"
	"image"
	"math"
	"strings"
	"time"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// PartPage is a part with its holes and walls on one page.
type PartPage struct {
	Fit     *model.PartFit
	Job     model.JobCard // names, units and flip; the holes have their own sizes
	Outline []model.Vec   // of the part, mm; nil = a box round what was read
	// Photo gives the upright photo of a reading, nil where it isn't at hand; nil
	// = no unrolled rims in the table.
	Photo   func(*model.Reading) *image.RGBA
	Labels  Labels
	Version string
	Style   chart.Style // zero = chart.Print()
}

// Title names the page.
func (p *PartPage) Title() string {
	l := p.Labels
	if l.Part == "" {
		l.Part = p.Fit.Part
	}
	return title(p.Job.Name, l)
}

// At is the time of the last reading on the page.
func (p *PartPage) At() time.Time {
	var at time.Time
	for _, h := range p.Fit.Holes {
		for _, r := range h.Readings {
			if r.MadeAt.After(at) {
				at = r.MadeAt
			}
		}
	}
	return at
}

// shiftU95 is the longer half axis of the shift's 95 % region, mm.
func shiftU95(f *model.PartFit) float64 {
	major, _, _ := f.ShiftCov().Eigen()
	return 2.4477468307 * root(major) // sqrt(-2 ln 0.05)
}

func rotationU95(f *model.PartFit) float64 { return 1.96 * root(f.Cov[2][2]) }

// Draw lays the page out on c.
func (p *PartPage) Draw(c draw.Canvas) {
	f, s := p.Fit, styleOr(p.Style)
	u := chart.UnitOf(p.Job.ShowInch)
	k := frame(c, s)
	k.head("Part", p.Title(), p.contents(), p.At())
	p.verdict(k, u)

	bottom := k.c.Min.Y + k.footHeight()
	holes, walls, warnings := len(f.Holes), len(f.Walls), f.Warnings
	below := func(q *pen) { p.words(q, u, holes, walls, warnings) }
	const least = 190
	for k.y-bottom-k.height(below) < s.Pt(least) {
		switch {
		case len(warnings) > 3:
			warnings = warnings[:len(warnings)-1]
		case walls > 6:
			walls--
		case holes > 4:
			holes--
		case len(warnings) > 0:
			warnings = warnings[:len(warnings)-1]
		case walls > 2:
			walls--
		default:
			holes = -1
		}
		if holes < 0 {
			holes = min(4, len(f.Holes))
			break
		}
	}
	// No higher than it does the drawing good.
	h := min(k.y-bottom-k.height(below)-s.Pt(8), k.width*0.52)
	p.pictures(k, h)
	k.y -= h + s.Pt(8)
	below(k)
	p.foot(k)
}

// contents is what the part was read from.
func (p *PartPage) contents() string {
	photos := 0
	for _, h := range p.Fit.Holes {
		photos += len(h.Readings)
	}
	var parts []string
	for _, c := range []struct {
		n    int
		what string
	}{{len(p.Fit.Holes), "hole"}, {photos, "photo"}, {len(p.Fit.Walls), "wall"}} {
		if c.n > 0 {
			parts = append(parts, counted(c.n, c.what))
		}
	}
	return strings.Join(parts, ", ")
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// verdict is the part's answer in one line of figures and a few sentences.
func (p *PartPage) verdict(k *pen, u chart.Unit) {
	f := p.Fit
	size, top := k.s.Pt(18), k.y
	v, headline := f.Verdict, Headline(f.Verdict)
	if len(f.Holes) == 0 {
		v, headline = "", "Walls only"
	}
	col := k.s.Of(v)
	k.sign(v, col, vg.Point{X: k.x + size*0.42, Y: top - size*0.68}, size*0.36)
	x := k.x
	k.x += size
	k.line(chart.Bold, 17, col, -1, headline)
	k.x = x
	k.line(chart.Bold, 14, k.s.Ink, -1, ShiftFigures(f, u))
	k.gap(1)
	k.para(chart.Regular, 9.2, k.s.Ink, PartWords(f, u))
	k.gap(5)
}

// ShiftFigures are shift and rotation as figures.
func ShiftFigures(f *model.PartFit, u chart.Unit) string {
	u95 := shiftU95(f)
	dec := u.Decimals(u95)
	axis := func(name string, v float64, known bool) string {
		if !known {
			return name + " ?"
		}
		return name + " " + u.Signed(v, dec)
	}
	s := axis("X", f.Shift.X, f.KnowsX) + "   " + axis("Y", f.Shift.Y, f.KnowsY)
	if f.KnowsX && f.KnowsY {
		s += "   ± " + u.FormatU(u95, dec)
	}
	s += " " + u.String()
	if f.KnowsRotation {
		s += "   turn " + turnFigures(f)
	}
	return s
}

func turnFigures(f *model.PartFit) string {
	deg := func(rad float64) float64 { return rad * 180 / math.Pi }
	v := fmt.Sprintf("%+.3f", deg(f.RotationRad))
	if v[0] == '-' {
		v = "−" + v[1:]
	}
	return fmt.Sprintf("%s° ± %.3f°", v, math.Ceil(deg(rotationU95(f))*1000-1e-6)/1000)
}

// PartWords say what the part as a whole shows.
func PartWords(f *model.PartFit, u chart.Unit) string {
	u95 := shiftU95(f)
	var s string
	switch {
	case f.KnowsX && f.KnowsY && f.ShiftCov().Mahalanobis2(f.Shift) < 5.991464547: // chi-squared, 2 d.o.f., 95 %
		s = fmt.Sprintf("No shift of setup 2 as a whole can be told: it is below ± %s %s.", u.FormatU(u95, u.Decimals(u95)), u)
	case f.KnowsX && f.KnowsY:
		s = fmt.Sprintf("Setup 2 as a whole landed %s of setup 1.", Displacement(f.Shift, u95, u))
	case f.KnowsX || f.KnowsY:
		s = "The shift is known along one axis only."
	default:
		s = "The shift cannot be told from these readings."
	}
	switch {
	case !f.KnowsRotation:
		s += " A rotation cannot be told from these readings and is taken as none."
	case f.RotationP > 0.05:
		s += " A rotation cannot be told from none."
	default:
		way := "counter-clockwise"
		if f.RotationRad < 0 {
			way = "clockwise"
		}
		s += fmt.Sprintf(" It is turned %s as seen from above: %s.", way, slopeWords(math.Abs(f.RotationRad), u))
	}
	if f.DOF > 0 {
		if f.PValue < 0.01 {
			s += fmt.Sprintf(" The readings do not fit one rigid part: they depart %.1f times as far as they state.", f.Scale)
		} else {
			s += " The readings fit one rigid part."
		}
	}
	if len(f.Holes) > 0 {
		s += " Each hole is judged by its own reading, the part by its worst hole."
	}
	return s
}

// slopeWords say a small rotation as an indicator along a wall shows it.
func slopeWords(rad float64, u chart.Unit) string {
	if u == chart.Inch {
		return fmt.Sprintf("%.4f\u00a0in over 4\u00a0in", 4*rad)
	}
	return fmt.Sprintf("%.3f\u00a0mm over 100\u00a0mm", 100*rad)
}

// PartCorrectionWords say what to change on the machine, one way a line.
func PartCorrectionWords(f *model.PartFit, flip model.FlipAxis, u chart.Unit) []string {
	u95 := shiftU95(f)
	shifted := f.KnowsX && f.KnowsY && f.ShiftCov().Mahalanobis2(f.Shift) >= 5.991464547
	turned := f.KnowsRotation && f.RotationP <= 0.05
	if !f.KnowsX || !f.KnowsY {
		return []string{"None advised: the shift is not known along both axes."}
	}
	if !shifted && !turned {
		return []string{"None: neither shift nor rotation can be told from zero, and a correction now would chase chance."}
	}
	dec := u.Decimals(u95)
	move := func(v model.Vec) string {
		return fmt.Sprintf("X\u00a0%s, Y\u00a0%s\u00a0%s", u.Signed(v.X, dec), u.Signed(v.Y, dec), u)
	}
	c := model.Correct(f.Shift, flip)
	var lines []string
	if shifted {
		lines = append(lines, "Setup 2: add "+move(c.Setup2)+" to its work offset, taken at part zero.")
	}
	if turned {
		deg := f.RotationRad * 180 / math.Pi
		lines = append(lines, fmt.Sprintf("Turn the part by %s° in the vise (counter-clockwise from above is +), or the coordinate system by %s°, about part zero.", signed3(deg), signed3(-deg)))
	} else {
		over := "end for end, about Y"
		if flip == model.FlipAboutX {
			over = "about X"
		}
		lines = append(lines, "Or setup 1 (part turned "+over+"): add "+move(c.Setup1)+" to its own. One of the two, not both.")
	}
	return append(lines, fmt.Sprintf("Good to ± %s %s (95 %%). Work offset means the machine position of part zero.", u.FormatU(u95, dec), u))
}

func signed3(v float64) string {
	s := fmt.Sprintf("%+.3f", v)
	if s[0] == '-' {
		s = "−" + s[1:]
	}
	return s
}

// pictures are the part drawing and the target map of all holes, side by side.
func (p *PartPage) pictures(k *pen, h vg.Length) {
	f := p.Fit
	u := chart.UnitOf(p.Job.ShowInch)
	left := k.width
	if len(f.Holes) > 0 {
		left = k.width*0.58 - k.s.Pt(gutter)/2
	}
	box := func(x, w vg.Length) draw.Canvas {
		return draw.Canvas{Canvas: k.c.Canvas, Rectangle: vg.Rectangle{
			Min: vg.Point{X: x, Y: k.y - h}, Max: vg.Point{X: x + w, Y: k.y},
		}}
	}
	if src := p.onlyPhoto(); src != nil {
		(&chart.PhotoFigure{Src: src, Reading: f.Holes[0].Readings[0], Style: k.s, Unit: u, Words: true, Left: true}).Draw(box(k.x, left))
	} else {
		m := chart.PartMap(f, chart.PartOptions{Style: k.s, Unit: u, Outline: p.Outline})
		m.Inset = 0
		m.Draw(box(k.x, left))
	}
	if len(f.Holes) == 0 {
		return
	}
	t := PartTarget(f, u, k.s)
	if h := f.Holes[0]; len(f.Holes) == 1 && h.Set != nil {
		t = chart.TurnMap(h.Set, h.Readings, chart.Zone{ToleranceMM: h.Job.ToleranceMM, Shape: h.Job.Zone}, chart.MapOptions{Style: k.s, Unit: u})
	}
	t.Inset = 0
	t.Draw(box(k.x+left+k.s.Pt(gutter), k.width-left-k.s.Pt(gutter)))
}

// onlyPhoto is the first photo of a part that is one hole without a place: there
// is no part to draw then.
func (p *PartPage) onlyPhoto() *image.RGBA {
	if len(p.Fit.Holes) != 1 || len(p.Fit.Walls) > 0 || p.Photo == nil {
		return nil
	}
	h := p.Fit.Holes[0]
	if h.HasPlace || len(h.Readings) == 0 {
		return nil
	}
	return p.Photo(h.Readings[0])
}

// PartTarget is the target map of all holes of a part.
func PartTarget(f *model.PartFit, u chart.Unit, s chart.Style) *chart.Chart {
	var pts []chart.MapPoint
	var zone chart.Zone
	for i, h := range f.Holes {
		pts = append(pts, chart.MapPoint{At: h.Mismatch, Cov: h.Cov, Label: h.Hole, Quiet: len(f.Holes) > 1, Out: h.LeftOut})
		if z := (chart.Zone{ToleranceMM: h.Job.ToleranceMM, Shape: h.Job.Zone}); i == 0 {
			zone = z
		} else if z != zone {
			zone = chart.Zone{} // holes of different tolerance: none is the zone
		}
	}
	return chart.TargetMap(pts, zone, chart.MapOptions{Style: s, Unit: u})
}

// words are the tables below the pictures.
func (p *PartPage) words(k *pen, u chart.Unit, holes, walls int, warnings []string) {
	f := p.Fit
	if len(f.Holes) > 0 {
		p.holeTable(k, u, holes)
		k.gap(6)
	}
	if len(f.Walls) > 0 {
		p.wallTable(k, u, walls)
		k.gap(6)
	}
	k.heading("Correction")
	for _, l := range PartCorrectionWords(f, p.Job.Flip, u) {
		k.para(chart.Regular, bodySize, k.s.Ink, l)
	}
	k.gap(3)
	for _, l := range Cautions {
		k.item(7.8, k.s.Soft, l)
	}
	if len(f.Warnings) > 0 {
		k.gap(4)
		for _, w := range warnings {
			k.item(7.8, k.s.Doubt, sentence(w))
		}
		if n := len(f.Warnings) - len(warnings); n > 0 {
			k.item(7.8, k.s.Doubt, fmt.Sprintf("And %d more warnings in the record.", n))
		}
	}
	if p.Labels.Note != "" {
		k.gap(3)
		k.para(chart.Italic, bodySize, k.s.Ink, "Note: "+p.Labels.Note)
	}
}

// column of a table: where it stands, as a share of the width; right = figures.
type column struct {
	at    float64
	right bool
	name  string
}

func (k *pen) cells(l chart.Letter, size float64, soft bool, cols []column, words []string) {
	for i, c := range cols {
		col := k.s.Ink
		if soft {
			col = k.s.Soft
		}
		st := k.s.Text(l, size, col)
		if c.right {
			st.XAlign = text.XRight
		}
		k.put(st, k.x+k.width*vg.Length(c.at), words[i])
	}
}

func names(cols []column) []string {
	out := make([]string, len(cols))
	for i, c := range cols {
		out[i] = c.name
	}
	return out
}

const (
	tableSize = 7.8
	stripRow  = 19.0 // height of a row that has an unrolled rim
)

func longUnit(u chart.Unit) string {
	if u == chart.Inch {
		return "inches"
	}
	return "mm"
}

func (p *PartPage) holeTable(k *pen, u chart.Unit, n int) {
	f := p.Fit
	k.heading("Holes (mismatch in " + longUnit(u) + ", ± 95 %)")
	cols := []column{
		{0, false, "hole"}, {0.16, true, "at X"}, {0.25, true, "at Y"}, {0.345, true, "X"}, {0.43, true, "Y"}, {0.505, true, "±"},
		{0.59, true, "off the fit X"}, {0.665, true, "Y"}, {0.68, false, "verdict"}, {0.83, false, "unrolled rim"},
	}
	if p.Photo == nil {
		cols[len(cols)-1].name = ""
	}
	k.cells(chart.Regular, tableSize, true, cols, names(cols))
	k.y -= k.step(tableSize)
	for i, h := range f.Holes {
		if i >= n {
			k.line(chart.Italic, tableSize, k.s.Soft, -1, fmt.Sprintf("and %s more in the record", counted(len(f.Holes)-n, "hole")))
			break
		}
		major, _, _ := h.Cov.Eigen()
		u95 := 2.4477468307 * root(major)
		if h.Set != nil {
			u95 = h.Set.U95MM
		} else if len(h.Readings) == 1 {
			u95 = h.Readings[0].U95MM
		}
		dec := u.Decimals(u95)
		row := []string{h.Hole, "?", "?", u.Signed(h.Mismatch.X, dec), u.Signed(h.Mismatch.Y, dec), u.FormatU(u95, dec),
			u.Signed(h.Residual.X, dec), u.Signed(h.Residual.Y, dec), string(h.Verdict), ""}
		if h.HasPlace {
			row[1], row[2] = u.Format(h.At.X, 3), u.Format(h.At.Y, 3)
		}
		if h.LeftOut {
			row[0] += ", left out"
		} else if h.Misfit {
			row[0] += ", doubtful"
		}
		if p.Photo == nil {
			k.cells(chart.Regular, tableSize, false, cols, row)
			k.y -= k.step(tableSize)
			continue
		}
		p.strip(k, h, 0.83)
		top := k.y
		k.y -= k.s.Pt((stripRow - tableSize*leading) / 2)
		k.cells(chart.Regular, tableSize, false, cols, row)
		k.y = top - k.s.Pt(stripRow)
	}
}

// strip draws a hole's unrolled rim into its row.
func (p *PartPage) strip(k *pen, h model.HoleFit, at float64) {
	if k.dry || p.Photo == nil || len(h.Readings) == 0 {
		return
	}
	r := h.Readings[0]
	src := p.Photo(r)
	if src == nil {
		return
	}
	x := k.x + k.width*vg.Length(at)
	box := vg.Rectangle{
		Min: vg.Point{X: x, Y: k.y - k.s.Pt(stripRow-2)}, Max: vg.Point{X: k.x + k.width, Y: k.y},
	}
	(&chart.StripFigure{Src: src, Reading: r, StripOptions: chart.StripOptions{Style: k.s}}).
		Draw(draw.Canvas{Canvas: k.c.Canvas, Rectangle: box})
}

func (p *PartPage) wallTable(k *pen, u chart.Unit, n int) {
	f := p.Fit
	k.heading("Walls (step in " + longUnit(u) + ", + = setup 2's half stands proud, ± 95 %)")
	cols := []column{
		{0, false, "wall"}, {0.16, true, "readings"}, {0.28, true, "step"}, {0.36, true, "±"},
		{0.49, true, "as the fit has it"}, {0.60, true, "off the fit"}, {0.64, false, ""},
	}
	k.cells(chart.Regular, tableSize, true, cols, names(cols))
	k.y -= k.step(tableSize)
	for i, w := range f.Walls {
		if i >= n {
			k.line(chart.Italic, tableSize, k.s.Soft, -1, fmt.Sprintf("and %s more in the record", counted(len(f.Walls)-n, "wall")))
			break
		}
		dec := u.Decimals(1.96 * w.UMM)
		drift := ""
		if w.DriftIsReal() {
			drift = "changes along the wall: " + slopeWords(math.Abs(w.DriftPerMM), u)
		}
		k.cells(chart.Regular, tableSize, false, cols, []string{
			w.Wall, fmt.Sprint(w.N), u.Signed(w.MeanMM, dec), u.FormatU(1.96*w.UMM, dec),
			u.Signed(w.PredictedMM, dec), u.Signed(w.ResidualMM, dec), drift,
		})
		k.y -= k.step(tableSize)
	}
	for _, q := range f.Pairs {
		k.para(chart.Regular, tableSize, k.s.Soft, fmt.Sprintf("%s and %s: %s.", q.A, q.B, q.Says))
	}
	if f.KnowsSize {
		g := 1.96 * root(f.Cov[3][3])
		dec := u.Decimals(g)
		k.para(chart.Regular, tableSize, k.s.Soft, fmt.Sprintf("Size difference between the setups, the same on every wall: %s ± %s %s.", u.Signed(f.SizeMM, dec), u.FormatU(g, dec), u))
	}
	if c := f.Compare; c != nil {
		word := "agree"
		if !c.Agree {
			word = "do not agree"
		}
		k.para(chart.Regular, tableSize, k.s.Soft, fmt.Sprintf("Photos and indicator %s within what both state (E_n %s).", word, enWords(c)))
	}
}

func enWords(c *model.Comparison) string {
	s := ""
	add := func(name string, v float64, known bool) {
		if known {
			if s != "" {
				s += ", "
			}
			s += fmt.Sprintf("%s %.2f", name, v)
		}
	}
	add("X", c.EnX, c.ComparesX)
	add("Y", c.EnY, c.ComparesY)
	add("rotation", c.EnRotation, c.ComparesRotation)
	if s == "" {
		return "not comparable"
	}
	return s
}

// foot names the program; the photos' hashes are on the holes' own pages.
func (p *PartPage) foot(k *pen) {
	k.y = k.c.Min.Y + k.footHeight() - k.s.Pt(3)
	k.c.StrokeLine2(k.s.Line(k.s.Rule, 0.7), k.x, k.y, k.x+k.width, k.y)
	k.gap(2)
	first := "Evenrim " + orWord(p.Version, "without a version")
	if p.Labels.Operator != "" {
		first += ", read by " + p.Labels.Operator
	}
	st := k.s.Text(chart.Regular, footSize, k.s.Soft)
	k.put(st, k.x, first)
	k.y -= k.step(footSize)
	mono := k.s.Text(chart.Mono, footSize-0.4, k.s.Soft)
	sums := "photos SHA-256"
	for _, h := range p.Fit.Holes {
		for _, r := range h.Readings {
			if len(r.Photo.SHA256) >= 8 {
				sums += " " + r.Photo.SHA256[:8]
			}
		}
	}
	k.put(mono, k.x, clip(mono, sums, k.width))
}
