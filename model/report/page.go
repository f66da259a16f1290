package report

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"time"
	"unicode"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Page is one sheet of a report.
type Page interface {
	chart.Figure
	Title() string
	At() time.Time // the date the page carries
}

// Labels are what a shop calls the thing; any may be empty.
type Labels struct {
	Part, Hole, Batch, Note, Operator, Record string
	// Outdated says, in a sentence, what counts instead; "" = it counts itself.
	Outdated string
}

// ReadingPage is a reading on one page.
type ReadingPage struct {
	Reading *model.Reading
	Photo   *image.RGBA // upright, at any size; nil if it isn't at hand
	// Load gives the photo when Photo is nil, once for each time the page is drawn,
	// so that a report of many pages holds one photo at a time. It may return nil.
	Load   func() *image.RGBA
	Labels Labels
	Style  chart.Style // zero = chart.Print()
}

// Title names the page for a list of pages.
func (p *ReadingPage) Title() string { return title(p.Reading.Job.Name, p.Labels) }

// At is the time of the reading.
func (p *ReadingPage) At() time.Time { return p.Reading.MadeAt }

// title is the job card's name with what else is known; a part that has a name
// of words needs no word before it.
func title(job string, l Labels) string {
	var parts []string
	add := func(word, v string) {
		switch {
		case v == "" || v == job:
		case word == "part" && job == "" && strings.IndexFunc(v, unicode.IsLetter) >= 0 && len(v) > 3:
			parts = append(parts, v)
		default:
			parts = append(parts, word+" "+v)
		}
	}
	if job != "" {
		parts = append(parts, job)
	}
	add("part", l.Part)
	add("hole", l.Hole)
	add("batch", l.Batch)
	if len(parts) == 0 {
		return "Reading"
	}
	s := []rune(strings.Join(parts, ", "))
	s[0] = unicode.ToUpper(s[0])
	return string(s)
}

const (
	margin   = 36.0 // points
	gutter   = 14.0
	bodySize = 8.4
)

func styleOr(s chart.Style) chart.Style {
	if s.Name == "" {
		return chart.Print()
	}
	return s
}

// frame clears the page and returns a pen over the area inside the margins.
func frame(c draw.Canvas, s chart.Style) *pen {
	c.SetColor(s.Paper)
	c.Fill(c.Rectangle.Path())
	in := draw.Crop(c, s.Pt(margin), -s.Pt(margin), s.Pt(margin*0.8), -s.Pt(margin*0.8))
	return &pen{c: in, s: s, x: in.Min.X, y: in.Max.Y, width: in.Size().X}
}

// Draw lays the page out on c: what has to be said first gets its room, the
// pictures share the rest.
func (p *ReadingPage) Draw(c draw.Canvas) {
	if p.Photo == nil && p.Load != nil {
		loaded := *p
		loaded.Photo = p.Load()
		p = &loaded
	}
	r, s := p.Reading, styleOr(p.Style)
	u := chart.UnitOf(r.Job.ShowInch)
	k := frame(c, s)
	k.head("Mismatch reading", p.Title(), origin(r.Photo), r.MadeAt)
	k.outdated(p.Labels)
	k.verdict(r, u)

	bottom := k.c.Min.Y + k.footHeight()
	rows, warnings := 8, r.Warnings
	below := func(q *pen) { q.words(p, u, rows, warnings) }
	room := k.y - bottom
	const least = 300 // points for the pictures
	for (rows > 3 || len(warnings) > 2) && room-k.height(below) < s.Pt(least) {
		if rows > 3 {
			rows--
		} else {
			warnings = warnings[:len(warnings)-1]
		}
	}
	pictures := room - k.height(below)
	k.pictures(p, u, pictures)
	k.y = bottom + k.height(below)
	below(k)
	k.foot(r, p.Labels)
}

// head is the page's first lines.
func (k *pen) head(kind, title, sub string, at time.Time) {
	y := k.y
	k.line(chart.Bold, 8.5, k.s.Soft, -1, "Evenrim")
	k.y = y
	right := at.UTC().Format("2 January 2006, 15:04 UTC")
	if at.IsZero() {
		right = "no date"
	}
	k.line(chart.Regular, 8.5, k.s.Soft, 1, right)
	k.y = y
	k.line(chart.Regular, 8.5, k.s.Soft, 0, kind)
	if !k.dry {
		y := k.y - k.s.Pt(2)
		k.c.StrokeLine2(k.s.Line(k.s.Ink, 0.9), k.x, y, k.x+k.width, y)
	}
	k.gap(6)
	st := k.s.Text(chart.Bold, 15, k.s.Ink)
	k.line(chart.Bold, 15, k.s.Ink, -1, clip(st, title, k.width))
	sm := k.s.Text(chart.Regular, bodySize, k.s.Soft)
	k.line(chart.Regular, bodySize, k.s.Soft, -1, clip(sm, sub, k.width))
	k.gap(4)
}

// outdated says above the answer that it isn't the last.
func (k *pen) outdated(l Labels) {
	if l.Outdated != "" {
		k.para(chart.Bold, 9.2, k.s.Doubt, l.Outdated)
		k.gap(3)
	}
}

// verdict is the answer: the word with its sign, the numbers, two sentences.
func (k *pen) verdict(r *model.Reading, u chart.Unit) {
	col := k.s.Of(r.Verdict)
	size := k.s.Pt(18)
	top := k.y
	k.sign(r.Verdict, col, vg.Point{X: k.x + size*0.42, Y: top - size*0.68}, size*0.36)
	x := k.x
	k.x += size
	k.line(chart.Bold, 17, col, -1, Headline(r.Verdict))
	k.x, k.y = x, top
	dec := u.Decimals(r.U95MM)
	k.line(chart.Bold, 17, k.s.Ink, 1, fmt.Sprintf("X %s   Y %s   ± %s %s",
		u.Signed(r.Mismatch.X, dec), u.Signed(r.Mismatch.Y, dec), u.FormatU(r.U95MM, dec), u))
	k.gap(1)
	k.para(chart.Regular, 9.2, k.s.Ink, MismatchWords(r, u)+" "+VerdictWords(r, u))
	k.gap(5)
}

// sign is the verdict as a shape, for grey print and eyes that see no red.
func (k *pen) sign(v model.Verdict, col color.Color, at vg.Point, r vg.Length) {
	if k.dry {
		return
	}
	ring := func() vg.Path {
		var p vg.Path
		p.Move(vg.Point{X: at.X + r, Y: at.Y})
		p.Arc(at, r, 0, 2*math.Pi)
		p.Close()
		return p
	}
	to := func(x, y float64) vg.Point { return vg.Point{X: at.X + r*vg.Length(x), Y: at.Y + r*vg.Length(y)} }
	stroke := func(w vg.Length, c color.Color, pts ...vg.Point) {
		k.c.StrokeLines(draw.LineStyle{Color: c, Width: w}, pts)
	}
	k.c.SetColor(col)
	switch v {
	case model.Conforms:
		k.c.Fill(ring())
		stroke(r*0.28, k.s.Paper, to(-0.45, 0), to(-0.1, -0.38), to(0.5, 0.4))
	case model.DoesNotConform:
		k.c.Fill(ring())
		stroke(r*0.28, k.s.Paper, to(-0.4, -0.4), to(0.4, 0.4))
		stroke(r*0.28, k.s.Paper, to(-0.4, 0.4), to(0.4, -0.4))
	default:
		k.c.SetLineStyle(draw.LineStyle{Color: col, Width: r * 0.24})
		k.c.Stroke(ring())
		var half vg.Path
		half.Move(to(0, 1))
		half.Arc(at, r, math.Pi/2, math.Pi)
		half.Close()
		k.c.Fill(half)
	}
}

// pictures fill height with photo and map above strip and curve.
func (k *pen) pictures(p *ReadingPage, u chart.Unit, height vg.Length) {
	gap := k.s.Pt(8)
	upper := (height - 2*gap) * 0.54
	lower := height - 2*gap - upper
	// The photo is as wide as its height allows, the map has the rest.
	left := k.width * 0.6
	if p.Photo != nil && p.Photo.Rect.Dy() > 0 {
		left = min(left, upper*vg.Length(p.Photo.Rect.Dx())/vg.Length(p.Photo.Rect.Dy()))
	}
	box := func(x, w, top, h vg.Length) draw.Canvas {
		return draw.Canvas{Canvas: k.c.Canvas, Rectangle: vg.Rectangle{
			Min: vg.Point{X: x, Y: top - h}, Max: vg.Point{X: x + w, Y: top},
		}}
	}
	photo := &chart.PhotoFigure{Src: p.Photo, Reading: p.Reading, Style: k.s, Unit: u, Words: true, Left: true}
	photo.Draw(box(k.x, left, k.y, upper))
	m := ReadingMap(p.Reading, k.s)
	m.Inset = 0
	m.Draw(box(k.x+left+k.s.Pt(gutter), k.width-left-k.s.Pt(gutter), k.y, upper))
	k.y -= upper + gap
	rim := &chart.RimFigure{Src: p.Photo, Reading: p.Reading, Style: k.s, Unit: u, Flush: true}
	rim.Draw(box(k.x, k.width, k.y, lower))
	k.y -= lower + gap
}

// ReadingMap is r's target map as page and picture files show it.
func ReadingMap(r *model.Reading, s chart.Style) *chart.Chart {
	return chart.TargetMap([]chart.MapPoint{chart.ReadingPoint(r)},
		chart.Zone{ToleranceMM: r.Job.ToleranceMM, Shape: r.Job.Zone},
		chart.MapOptions{Style: s, Unit: chart.UnitOf(r.Job.ShowInch)})
}

// correctionBeside puts the correction with its cautions to the left of a table.
func (k *pen) correctionBeside(title string, rows []row, correction []string) {
	half := (k.width - k.s.Pt(gutter)) / 2
	left, right := *k, *k
	left.width, right.width = half, half
	right.x += half + k.s.Pt(gutter)
	left.heading("Correction")
	for _, l := range correction {
		left.para(chart.Regular, bodySize, k.s.Ink, l)
	}
	left.gap(3)
	for _, l := range Cautions {
		left.item(7.8, k.s.Soft, l)
	}
	right.heading(title)
	right.table(bodySize-0.4, rows)
	k.y = min(left.y, right.y)
}

// doubtsAndNote ends a page: the warnings there is room for, how many of the total
// are left out, and what a person noted.
func (k *pen) doubtsAndNote(warnings []string, total int, note string) {
	if total > 0 {
		k.gap(4)
		for _, w := range warnings {
			k.item(7.8, k.s.Doubt, sentence(w))
		}
		if n := total - len(warnings); n > 0 {
			k.item(7.8, k.s.Doubt, fmt.Sprintf("And %d more warnings in the record.", n))
		}
	}
	if note != "" {
		k.gap(3)
		k.para(chart.Italic, bodySize, k.s.Ink, "Note: "+note)
	}
}

// words are all tables and sentences below the pictures.
func (k *pen) words(p *ReadingPage, u chart.Unit, rows int, warnings []string) {
	r := p.Reading
	k.budget(r, u, rows)
	k.gap(7)
	k.correctionBeside("Told and seen", append(inputs(r.Job, u), evidence(r, u)...), CorrectionWords(r, u))
	k.doubtsAndNote(warnings, len(r.Warnings), p.Labels.Note)
}

const footSize = 6.8

func (k *pen) footHeight() vg.Length { return k.step(footSize)*2 + k.s.Pt(6) }

// foot says where the page comes from, at the very bottom.
func (k *pen) foot(r *model.Reading, l Labels) {
	k.y = k.c.Min.Y + k.footHeight() - k.s.Pt(3)
	k.c.StrokeLine2(k.s.Line(k.s.Rule, 0.7), k.x, k.y, k.x+k.width, k.y)
	k.gap(2)
	first := "Evenrim " + orWord(r.Version, "without a version")
	if l.Record != "" {
		first += ", record " + l.Record
	}
	if l.Operator != "" {
		first += ", read by " + l.Operator
	}
	st := k.s.Text(chart.Regular, footSize, k.s.Soft)
	y := k.y
	k.put(st, k.x, first)
	st.XAlign = text.XRight
	if r.Seconds > 0 {
		k.put(st, k.x+k.width, fmt.Sprintf("read in %.2f s", r.Seconds))
	}
	k.y = y - k.step(footSize)
	mono := k.s.Text(chart.Mono, footSize-0.4, k.s.Soft)
	k.put(mono, k.x, "photo SHA-256 "+orWord(r.Photo.SHA256, "unknown"))
}

func orWord(s, word string) string {
	if s == "" {
		return word
	}
	return s
}
