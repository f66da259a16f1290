package report

import (
	"fmt"
	"image"
	"slices"
	"strings"
	"time"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// PartPage is a part with its holes and walls on one page.
type PartPage struct {
	Fit *model.PartFit
	Job model.JobCard // names, units and flip; the holes have their own sizes
	// Advice is what the correction stands on where it was worked out, as everywhere
	// else in the program; nil = worded from the fit alone. Causes are the likely ones.
	Advice  *model.Advice
	Causes  []model.Cause
	Outline []model.Vec // of the part, mm; nil = a box round what was read
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

func rotationU95(f *model.PartFit) float64 { return model.Factor95 * root(f.Cov[2][2]) }

// Draw lays the page out on c. The rows that it has no room for are on the pages that
// WithRest adds.
func (p *PartPage) Draw(c draw.Canvas) {
	k, fits := p.begin(c)
	u := chart.UnitOf(p.Job.ShowInch)
	below := func(q *pen) { p.words(q, u, fits) }
	// No higher than it does the drawing good.
	h := min(k.y-k.c.Min.Y-k.footHeight()-k.height(below)-k.s.Pt(8), k.width*0.52)
	p.pictures(k, h)
	k.y -= h + k.s.Pt(8)
	below(k)
	p.foot(k)
}

// partRows is how many rows and warnings a part's page has room for.
type partRows struct{ holes, walls, warnings int }

// begin writes the page's head and answer, and says what has room below.
func (p *PartPage) begin(c draw.Canvas) (*pen, partRows) {
	f, s := p.Fit, styleOr(p.Style)
	u := chart.UnitOf(p.Job.ShowInch)
	k := frame(c, s)
	k.head("Part", p.Title(), p.contents(), p.At())
	p.verdict(k, u)

	bottom := k.c.Min.Y + k.footHeight()
	fits := partRows{len(f.Holes), len(f.Walls), len(f.Warnings)}
	below := func(q *pen) { p.words(q, u, fits) }
	const least = 190
	for k.y-bottom-k.height(below) < s.Pt(least) {
		switch {
		case fits.warnings > 3:
			fits.warnings--
		case fits.walls > 6:
			fits.walls--
		case fits.holes > 4:
			fits.holes--
		case fits.warnings > 0:
			fits.warnings--
		case fits.walls > 2:
			fits.walls--
		default:
			return k, fits
		}
	}
	return k, fits
}

// contents is what the part was read from.
func (p *PartPage) contents() string {
	photos := 0
	for _, h := range p.Fit.Holes {
		if h.Set != nil {
			photos += h.Set.Pictures()
		} else {
			photos += len(h.Readings)
		}
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
func (p *PartPage) words(k *pen, u chart.Unit, fits partRows) {
	f := p.Fit
	if n := len(f.Holes); n > 0 {
		p.holeTable(k, u, 0, fits.holes)
		k.overleaf(n-fits.holes, "hole")
		k.gap(6)
	}
	if n := len(f.Walls); n > 0 {
		p.wallTable(k, u, 0, fits.walls)
		k.overleaf(n-fits.walls, "wall")
		p.ofAllWalls(k, u)
		k.gap(6)
	}
	k.heading("Correction")
	lines, cautions := PartCorrectionWords(f, p.Job.Flip, u), Cautions
	if p.Advice != nil {
		lines = AdviceWords(*p.Advice)
		if len(p.Advice.Cautions) > 0 { // of these corrections; what holds for every one stays
			cautions = append(slices.Clone(p.Advice.Cautions), Caution)
		}
	}
	for _, l := range lines {
		k.para(chart.Regular, bodySize, k.s.Ink, l)
	}
	k.gap(3)
	for _, l := range cautions {
		k.item(7.8, k.s.Soft, l)
	}
	if len(p.Causes) > 0 {
		k.gap(4)
		k.heading("Likely causes")
		for _, l := range CauseWords(p.Causes) {
			k.item(7.8, k.s.Ink, l)
		}
	}
	k.doubtsAndNote(f.Warnings[:fits.warnings], fits.warnings, p.Labels.Note)
	k.overleaf(len(f.Warnings)-fits.warnings, "warning")
}

const (
	tableSize = 7.8
	stripRow  = 19.0 // height of a row that has an unrolled rim
)

// foot names the program; the photos' hashes are on the holes' own pages.
func (p *PartPage) foot(k *pen) {
	first := "Evenrim " + orWord(p.Version, "without a version")
	if p.Labels.Operator != "" {
		first += ", read by " + p.Labels.Operator
	}
	var readings []*model.Reading
	for _, h := range p.Fit.Holes {
		readings = append(readings, h.Readings...)
	}
	k.footOf(first, readings)
}

// footOf is the foot of a page made of several readings: the first line and the
// beginnings of their photos' hashes.
func (k *pen) footOf(first string, readings []*model.Reading) {
	k.y = k.c.Min.Y + k.footHeight() - k.s.Pt(3)
	k.c.StrokeLine2(k.s.Line(k.s.Rule, 0.7), k.x, k.y, k.x+k.width, k.y)
	k.gap(2)
	k.put(k.s.Text(chart.Regular, footSize, k.s.Soft), k.x, first)
	k.y -= k.step(footSize)
	mono := k.s.Text(chart.Mono, footSize-0.4, k.s.Soft)
	sums := "photos SHA-256"
	for _, r := range readings {
		if len(r.Photo.SHA256) >= 8 {
			sums += " " + r.Photo.SHA256[:8]
		}
	}
	k.put(mono, k.x, clip(mono, sums, k.width))
}
