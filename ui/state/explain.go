package state

import (
	"fmt"
	"math"

	"evenrim/model"
	"evenrim/model/report"
)

// Topic is a number on the result sheet that can be asked about.
type Topic string

const (
	AboutMismatch    Topic = "mismatch"
	AboutUncertainty Topic = "uncertainty"
	AboutVerdict     Topic = "verdict"
	AboutMoves       Topic = "moves"
	AboutWidth       Topic = "width"
	AboutView        Topic = "view"
	AboutScale       Topic = "scale"
	AboutRims        Topic = "rims"
)

// Explanation is where a number comes from: words, the formula with the numbers
// put in, a table.
type Explanation struct {
	Title   string
	Words   []string
	Formula []string
	Head    []string // of the table
	Rows    [][]string
	Drawing string // name of one of our drawings, "" = none
}

// WhereFrom says where a number of a reading comes from.
func WhereFrom(r *model.Reading, set *model.TurnSet, topic Topic, u Units) Explanation {
	switch topic {
	case AboutUncertainty:
		return aboutUncertainty(r, set, u)
	case AboutVerdict:
		return aboutVerdict(r, u)
	case AboutMoves:
		return aboutMoves(r, u)
	case AboutWidth:
		return aboutWidth(r, u)
	case AboutView:
		return aboutView(r, u)
	case AboutScale:
		return Explanation{Title: "Scale", Drawing: "edges",
			Words:   []string{"The bore's diameter, as typed, sets the scale: how many pixels of the photo are a length at the hole. An error of the diameter scales mismatch and width alike."},
			Formula: []string{fmt.Sprintf("%s px across the bore edge ÷ %s = %s", plain(2*r.Bore.A, 1), u.Plain(r.Job.BoreMM), scaleWords(r, u)), "The bore edge lies a little below the face, so the camera's distance counts too: the scale is stated on the face."}}
	case AboutRims:
		return aboutRims(r)
	}
	return aboutMismatch(r, set, u)
}

func aboutMismatch(r *model.Reading, set *model.TurnSet, u Units) Explanation {
	e := Explanation{Title: "Where X and Y come from", Drawing: "wide"}
	w, n := r.Widest(), r.Narrowest()
	d := u.Decimals(r.U95MM)
	e.Words = []string{"The mismatch is how far the chamfer's axis (setup 2) lies from the bore's axis (setup 1), in setup 2's own X and Y. The rule of the trade: half of widest less narrowest, towards the wide side."}
	if !r.IsEven() && n.WidthMM > 0 {
		e.Formula = append(e.Formula, fmt.Sprintf("(%s − %s) ÷ 2 = %s %s %s, towards %s",
			u.Format(w.WidthMM, d), u.Format(n.WidthMM, d), u.Format((w.WidthMM-n.WidthMM)/2, d), plusMinus(u, r.U95MM), u, w.Clock))
	}
	a := r.Mismatch.Angle()
	e.Formula = append(e.Formula,
		fmt.Sprintf("X = %s × cos %s = %s %s", u.Format(r.Mismatch.Norm(), d), Degrees(a, 1), signed(u, r.Mismatch.X, r.U95MM), u),
		fmt.Sprintf("Y = %s × sin %s = %s %s", u.Format(r.Mismatch.Norm(), d), Degrees(a, 1), signed(u, r.Mismatch.Y, r.U95MM), u))
	if set != nil {
		e.Drawing = "turn-set"
		e.Words = append(e.Words, "Each photo shows the mismatch and, besides, what camera and light have wrong. The mismatch turns with the part, the camera's error does not; least squares over all photos tells them apart.")
		e.Head = []string{"Photo", "turned by", "off the joined, X", "Y"}
		for _, t := range set.Turns {
			name := t.Photo
			if t.LeftOut {
				name += " (left out)"
			}
			e.Rows = append(e.Rows, []string{name, Degrees(t.TurnRad, 1), signed(u, t.ResidualMM.X, r.U95MM), signed(u, t.ResidualMM.Y, r.U95MM)})
		}
		return e
	}
	naive := model.Vec{X: r.Outer.CX - r.Bore.CX, Y: -(r.Outer.CY - r.Bore.CY)}.Scale(1 / r.Camera.PxPerMM).Rotate(-r.Camera.PlusX)
	e.Words = append(e.Words, fmt.Sprintf("The two rims' centres alone would give X %s, Y %s. That is not the answer: the bore edge lies deeper than the outer edge, and the camera leans by %s. All rims are fitted together in full perspective, which takes that out.",
		signed(u, naive.X, r.U95MM), signed(u, naive.Y, r.U95MM), tiltWords(r.View)))
	e.Words = append(e.Words, fmt.Sprintf("+X points %s counter-clockwise from image-right in this photo.", Degrees(r.Job.PlusX, 1)))
	return e
}

func aboutUncertainty(r *model.Reading, set *model.TurnSet, u Units) Explanation {
	e := Explanation{Title: "Where the ± comes from",
		Words: []string{"Everything that could be wrong is listed, each by how far it may move the mismatch (one standard deviation). They are added as squares. The ± is the longer half axis of the region that holds the true mismatch in 95 of 100 such readings."}}
	if set != nil {
		e.Words = []string{"The uncertainty of a turn set comes from what is new in each photo, less the more photos there are, and from what turns with the part, which more photos don't lessen. What stays with camera and light drops out: about half of what a single photo states for them. The rest is new in each photo, because texture glitters otherwise from each side."}
		e.Formula = []string{fmt.Sprintf("%s %s for %s together; %.1f times as sure as one alone", plusMinus(u, r.U95MM), u, set.CountWords(), set.Gain)}
		if set.PartCov != (model.Sym2{}) {
			fresh := set.Cov.Add(set.PartCov.Scale(-1))
			e.Formula = append(e.Formula, fmt.Sprintf("%s new in each photo, %s turning with the part: added as squares", plusMinus(u, model.U95(fresh)), plusMinus(u, model.U95(set.PartCov))))
		}
		if set.Scale > 1.05 {
			e.Formula = append(e.Formula, fmt.Sprintf("The photos scatter %.1f times more than they state; that is included.", set.Scale))
		}
		return e
	}
	inch := u == Inch
	t := model.TableOf(model.Shown(r.Budget, inch), r.Mismatch)
	unit, counted, dec := "µm", "µm", 2
	if inch {
		unit, counted = "0.0001 in", "tenths" // a number before 0.0001 reads as two numbers
	}
	e.Head = []string{"Source", "Input", "± of the input", "X, " + unit, "Y, " + unit, "share"}
	for _, row := range t.Rows {
		x, y := row.XUm, row.YUm
		if inch {
			x, y = row.XTenths, row.YTenths
		}
		e.Rows = append(e.Rows, []string{row.Source, row.Value, sig(row.U) + " " + row.Unit, plain(x, dec), plain(y, dec), plain(100*row.Share, 0) + " %"})
	}
	x, y, all := t.XUm, t.YUm, t.U95Um
	if inch {
		x, y, all = t.XTenths, t.YTenths, t.U95Tenths
	}
	e.Rows = append(e.Rows, []string{"together", "", "", plain(x, dec), plain(y, dec), "100 %"})
	if t.Factor > 0 && !math.IsInf(t.Factor, 0) {
		e.Formula = []string{fmt.Sprintf("%s × %s %s = %s %s = %s %s", plain(t.Factor, 2), plain(all/t.Factor, 2), counted, plain(all, 1), counted, plusMinus(u, r.U95MM), u)}
	}
	for _, row := range t.Rows {
		if row.Why != "" && row.Share >= 0.05 {
			e.Words = append(e.Words, row.Why)
		}
	}
	return e
}

// sig is a number to two figures.
func sig(x float64) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return plain(x, 0)
	}
	return plain(x, max(0, 1-int(math.Floor(math.Log10(math.Abs(x))))))
}

func aboutVerdict(r *model.Reading, u Units) Explanation {
	e := Explanation{Title: "Where the verdict comes from", Words: []string{report.VerdictWords(r, u),
		"Conforms: the tolerance holds even with the uncertainty against the part. Does not conform: it is broken even with the uncertainty in its favour. Between the two, undecided (the three cases of ISO 14253-1; the probability by JCGM 106)."}}
	e.Formula = []string{fmt.Sprintf("mismatch %s %s %s against %s", length(u, r.Mismatch.Norm(), r.U95MM), plusMinus(u, r.U95MM), u, u.Plain(r.Job.ToleranceMM)), model.Percent(r.PWithin) + " likely within"}
	for _, s := range model.WhatWouldDecide(r) {
		e.Rows = append(e.Rows, []string{s.What, plusMinus(u, s.U95MM) + " " + u.String(), model.Percent(s.Chance)})
	}
	if len(e.Rows) > 0 {
		e.Head = []string{"What would decide it", "± then", "chance of a verdict"}
	}
	return e
}

func aboutMoves(r *model.Reading, u Units) Explanation {
	e := Explanation{Title: "Where the correction comes from", Drawing: "flip-about-y",
		Words: []string{"Setup 2's features lie at + mismatch of setup 1's. Work offset means the machine position of part zero. Correct one setup, never both."}}
	if r.Job.Flip == model.FlipAboutX {
		e.Drawing = "flip-about-x"
	}
	for _, m := range moves(r, u) {
		x, y := m.X, m.Y
		if x == "" {
			x = "leave"
		}
		if y == "" {
			y = "leave"
		}
		e.Formula = append(e.Formula, fmt.Sprintf("Setup %d: X %s, Y %s %s. %s", m.Setup, x, y, u, m.Why))
	}
	e.Words = append(e.Words, "An axis whose mismatch is smaller than its own uncertainty is left alone: a correction would chase chance.")
	e.Words = append(e.Words, report.Cautions...)
	return e
}

func aboutWidth(r *model.Reading, u Units) Explanation {
	e := Explanation{Title: "Chamfer width", Drawing: "even",
		Words: []string{"The mean of the width all round, as seen from straight above, is the true width of the chamfer: the mismatch makes it wider on one side and narrower on the other by the same. A wrong mean says that the chamfer tool's set diameter or length was wrong."}}
	e.Formula = []string{"mean " + length(u, r.WidthMM, model.Factor95*r.WidthUMM) + " " + plusMinus(u, model.Factor95*r.WidthUMM)}
	if r.Job.ChamferMM > 0 {
		e.Formula = append(e.Formula, "less the drawing's "+u.Plain(r.Job.ChamferMM)+" = "+signed(u, r.WidthMM-r.Job.ChamferMM, model.Factor95*r.WidthUMM)+" "+plusMinus(u, model.Factor95*r.WidthUMM)+" "+u.String())
	}
	for _, x := range []struct {
		name string
		e    model.Extreme
	}{{"widest", r.Widest()}, {"narrowest", r.Narrowest()}} {
		e.Formula = append(e.Formula, x.name+" "+extremeWords(x.e, u)+" at "+x.e.Clock)
	}
	return e
}

func aboutView(r *model.Reading, u Units) Explanation {
	h := r.WidthMM / math.Tan(r.Job.WithDefaults().HalfAngle)
	t := math.Hypot(r.View.SlopeX, r.View.SlopeY)
	return Explanation{Title: "The camera's tilt", Drawing: "leaning-view",
		Words: []string{"A camera that leans sees the deeper bore edge shifted against the outer edge. " + map[model.ViewSource]string{
			model.FromExitRim:    "Here the exit rim, at the far end of the bore, shows how much it leans: the bore is its own plumb line.",
			model.FromFlattening: "Here only the rims' flattening tells, which is weak near zero: light the far end of the bore, or turn the part.",
			model.FromTurnSet:    "Turning the part under the same camera took it out.",
			model.Assumed:        "Here nothing shows it; it is assumed square.",
		}[r.View.How]},
		Formula: []string{"tilt " + tiltWords(r.View),
			fmt.Sprintf("uncorrected it would shift the reading by %s deep × tan = %s", u.Plain(math.Round(h*1e4)/1e4), u.Plain(math.Round(h*t*1e4)/1e4))}}
}

func aboutRims(r *model.Reading) Explanation {
	e := Explanation{Title: "The traced rims", Drawing: "edges", Head: []string{"Rim", "centre, px", "half axes, px", "scatter, px", "seen"},
		Words: []string{"Each rim as the ellipse that follows it best in the photo. Positions are pixels of the upright photo, pixel centres at whole numbers, y down. Arcs that don't belong (dirt, burr) are left out."}}
	add := func(name string, s *model.RimShape) {
		if s != nil {
			e.Rows = append(e.Rows, []string{name, plain(s.CX, 2) + ", " + plain(s.CY, 2), plain(s.A, 2) + ", " + plain(s.B, 2), plain(s.RMSPx, 2), Degrees(s.ArcRad, 0)})
		}
	}
	add("outer edge (setup 2)", &r.Outer)
	add("bore edge (setup 1)", &r.Bore)
	add("exit rim", r.Exit)
	return e
}
