package report

import (
	"fmt"
	"image"
	"math"
	"path/filepath"
	"time"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// TurnSetPage is what the photos of one hole say together, the part turned between
// them, on one page.
type TurnSetPage struct {
	Joined  *model.Joined
	Members []*model.Reading // in the order of the turn; as many as Joined.Set.Turns
	// Photo gives the upright photo of a member, nil where it isn't at hand; nil = no
	// photos on the page.
	Photo  func(*model.Reading) *image.RGBA
	Labels Labels
	Style  chart.Style // zero = chart.Print()
}

// Title names the page.
func (p *TurnSetPage) Title() string { return title(p.Joined.Job.Name, p.Labels) }

// At is when the photos were joined.
func (p *TurnSetPage) At() time.Time { return p.Joined.MadeAt }

// Draw lays the page out on c: what has to be said first gets its room, the pictures
// share the rest.
func (p *TurnSetPage) Draw(c draw.Canvas) {
	s := styleOr(p.Style)
	u := chart.UnitOf(p.Joined.Job.ShowInch)
	r := p.Joined.Reading(p.Members[0])
	k := frame(c, s)
	k.head("Turn set", p.Title(), p.from(), p.At())
	k.outdated(p.Labels)
	k.verdict(r, u)
	bottom := k.c.Min.Y + k.footHeight()
	below := func(q *pen) { p.words(q, r, u) }
	gap := k.s.Pt(8)
	room := max(k.y-bottom-k.height(below)-2*gap, k.s.Pt(200))
	p.pictures(k, u, min(room, k.width*0.98))
	below(k)
	p.foot(k)
}

// pictures are the first photo and, below, how the photos lie about the joined result
// and what turning took out.
func (p *TurnSetPage) pictures(k *pen, u chart.Unit, height vg.Length) {
	gap := k.s.Pt(8)
	box := func(x, w, top, h vg.Length) draw.Canvas {
		return draw.Canvas{Canvas: k.c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: x, Y: top - h}, Max: vg.Point{X: x + w, Y: top}}}
	}
	maps := min(height, k.width*0.48)
	var src *image.RGBA
	if p.Photo != nil {
		src = p.Photo(p.Members[0])
	}
	if src != nil {
		maps = min(maps, height*0.5)
		h := height - maps - gap
		(&chart.PhotoFigure{Src: src, Reading: p.Members[0], Style: k.s, Unit: u, Words: true}).Draw(box(k.x, k.width, k.y, h))
		k.y -= h + gap
	}
	t, o := &p.Joined.Set, chart.MapOptions{Style: k.s, Unit: u, Title: "Each photo about the joined result"}
	w := (k.width - k.s.Pt(gutter)) / 2
	turned := chart.TurnMap(t, p.Members, chart.Zone{ToleranceMM: p.Joined.Job.ToleranceMM, Shape: p.Joined.Job.Zone}, o)
	turned.Draw(box(k.x, w, k.y, maps))
	o.Title = "What turning took out"
	chart.BiasMap(t, o).Draw(box(k.x+w+k.s.Pt(gutter), w, k.y, maps))
	k.y -= maps + gap
}

// words are the table of the photos and the sentences below the pictures. r is the set
// in the form of a reading.
func (p *TurnSetPage) words(k *pen, r *model.Reading, u chart.Unit) {
	t := p.Joined.Set
	p.table(k, u)
	k.gap(6)
	k.heading("What turning took out")
	k.para(chart.Regular, bodySize, k.s.Ink, p.tookOut(u))
	if t.Scale > 1.05 {
		k.para(chart.Regular, bodySize, k.s.Ink, fmt.Sprintf("The photos scatter %.1f times more than they state; that is included.", t.Scale))
	}
	k.para(chart.Regular, bodySize, k.s.Soft, "What turns with the part, a tilted chamfer, an oval bore, a burr, no turning takes out.")
	k.gap(6)
	wdec := u.Decimals(model.Factor95 * t.WidthUMM)
	k.correctionBeside("Told and found", append(inputs(p.Joined.Job, u),
		row{"Chamfer width", fmt.Sprintf("%s ± %s %s (95 %%)", u.Format(t.WidthMM, wdec), u.FormatU(model.Factor95*t.WidthUMM, wdec), u)},
		row{"Do they agree?", p.agreement()}), CorrectionWords(r, u))
	if len(t.Warnings) > 0 {
		k.gap(4)
		for _, w := range t.Warnings {
			k.item(7.8, k.s.Doubt, sentence(w))
		}
	}
	if p.Labels.Note != "" {
		k.gap(3)
		k.para(chart.Italic, bodySize, k.s.Ink, "Note: "+p.Labels.Note)
	}
}

// from says of how many photos the set is.
func (p *TurnSetPage) from() string {
	words := p.Joined.Set.CountWords() + " of one hole, "
	if p.Joined.Set.Pictures() == 1 {
		return words + "all one picture"
	}
	return words + "the part turned between them"
}

// tookOut says what camera and light had wrong, and how much surer the set is for it.
func (p *TurnSetPage) tookOut(u chart.Unit) string {
	t := p.Joined.Set
	together := "The photos together are " + t.GainWords() + "."
	if t.Pictures() == 1 {
		return "Nothing. " + together
	}
	dec := u.Decimals(t.U95MM)
	bias, u95 := t.CameraBias, model.U95(t.CameraBiasCov)
	found := fmt.Sprintf("%s ± %s %s, %s to the right and %s up as the camera sees it", u.Format(bias.Norm(), dec), u.FormatU(u95, dec), u, u.Signed(bias.X, dec), u.Signed(bias.Y, dec))
	if bias.Norm() > u95 {
		found = "Camera and light had every photo wrong by the same " + found + "."
	} else {
		found = "What camera and light had wrong in every photo alike cannot be told from nothing: " + found + "."
	}
	return found + " It stays with the camera while the mismatch turns with the part; least squares over the photos tells them apart. " + together
}

// agreement words chi-squared of the photos about what they say together.
func (p *TurnSetPage) agreement() string {
	t := p.Joined.Set
	if t.Pictures() == 1 {
		return "one picture alone cannot tell"
	}
	if t.DOF <= 0 || math.IsNaN(t.PValue) {
		return "two photos alone cannot tell"
	}
	return fmt.Sprintf("chi² %.1f for %d, by chance with %s", t.Chi2, t.DOF, Probability(t.PValue))
}

// table lists the photos, each against the rest.
func (p *TurnSetPage) table(k *pen, u chart.Unit) {
	k.heading("Photos (mismatch in " + longUnit(u) + ", ± 95 %)")
	cols := []column{
		{0, false, "photo"}, {0.36, true, "turned by"}, {0.45, true, "X"}, {0.54, true, "Y"}, {0.61, true, "±"},
		{0.72, true, "off the joined X"}, {0.79, true, "Y"}, {0.81, false, ""},
	}
	rims := p.Photo != nil
	if rims {
		cols[len(cols)-1].name = "unrolled rim"
	}
	k.cells(chart.Regular, tableSize, true, cols, names(cols))
	k.y -= k.step(tableSize)
	for i, r := range p.Members {
		turn := p.Joined.Set.Turns[i]
		name := clip(k.s.Text(chart.Regular, tableSize, k.s.Ink), filepath.Base(turn.Photo), k.width*0.24)
		switch {
		case turn.LeftOut:
			name += ", left out"
		case turn.Suspect:
			name += ", doubtful"
		}
		dec := u.Decimals(r.U95MM)
		cells := []string{name, fmt.Sprintf("%.0f°", degrees(turn.TurnRad)), u.Signed(r.Mismatch.X, dec), u.Signed(r.Mismatch.Y, dec), u.FormatU(r.U95MM, dec),
			u.Signed(turn.ResidualMM.X, dec), u.Signed(turn.ResidualMM.Y, dec), ""}
		if !rims {
			k.cells(chart.Regular, tableSize, false, cols, cells)
			k.y -= k.step(tableSize)
			continue
		}
		if !k.dry { // a photo at a time, and only to draw it
			strip(k, r, p.Photo(r), 0.81)
		}
		top := k.y
		k.y -= k.s.Pt((stripRow - tableSize*leading) / 2)
		k.cells(chart.Regular, tableSize, false, cols, cells)
		k.y = top - k.s.Pt(stripRow)
	}
}

// foot says where the page comes from.
func (p *TurnSetPage) foot(k *pen) {
	first := "Evenrim " + orWord(p.Joined.Version, "without a version")
	if p.Labels.Record != "" {
		first += ", record " + p.Labels.Record
	}
	if p.Labels.Operator != "" {
		first += ", read by " + p.Labels.Operator
	}
	k.footOf(first, p.Members)
}
