package report

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"
)

func batchOf(name string, n int, mean, drift model.Vec) batch.Batch {
	b := batch.Batch{Name: name, ToleranceMM: 0.0254}
	for i := range n {
		d := mean.Add(drift.Scale(float64(i))).Add(model.Vec{X: 0.003 * math.Sin(float64(3*i+1)), Y: 0.003 * math.Cos(float64(5*i))})
		r := sample(d, false)
		b.Parts = append(b.Parts, batch.Part{Name: fmt.Sprint(name[:1], i+1), D: d, Cov: r.Cov, Readings: []*model.Reading{r}})
	}
	return b
}

func pagesOf(t *testing.T, panels func(a, b batch.Batch) []chart.Panel, batches ...batch.Batch) []Page {
	t.Helper()
	var answers []BatchAnswer
	for _, b := range batches {
		a, err := AnswerBatch(b, nil)
		if err != nil {
			t.Fatal(err)
		}
		answers = append(answers, a)
	}
	pages, err := BatchPages(answers, chart.UnitOf(batches[0].ShowInch), panels, "0.1.0", time.Date(2031, 3, 4, 5, 6, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

// A document has one unit, the one asked for, whatever its readings were made in.
func TestBatchPagesAreInOneUnit(t *testing.T) {
	mm := batchOf("raw edge", 10, model.Vec{X: 0.033, Y: 0.01}, model.Vec{})
	inch := batchOf("fixed", 12, model.Vec{}, model.Vec{})
	inch.ShowInch = true
	alien := regexp.MustCompile(`\d (mm\b|in[.,)])|[,( ](mm|inches)[,)]`)
	for _, b := range [][]batch.Batch{{mm, inch}, {inch, mm}} {
		for i, p := range pagesOf(t, nil, b...) {
			for _, found := range alien.FindAllString(words(p, A4), -1) {
				if strings.Contains(found, "in") != b[0].ShowInch {
					t.Errorf("page %d of a document in inch: %v says %q", i+1, b[0].ShowInch, found)
				}
			}
		}
	}
}

func TestBatchPagesSayAllThatMatters(t *testing.T) {
	panels := func(a, b batch.Batch) []chart.Panel {
		return []chart.Panel{{Name: a.Name, Reading: a.Parts[0].Readings[0], Src: photo()}, {Name: b.Name, Reading: b.Parts[0].Readings[0], Src: photo()}}
	}
	pages := pagesOf(t, panels, batchOf("raw edge", 10, model.Vec{X: 0.033, Y: 0.01}, model.Vec{}), batchOf("fixed", 12, model.Vec{}, model.Vec{}),
		batchOf("drifting", 14, model.Vec{X: -0.01}, model.Vec{X: 0.004}), batchOf("pair", 2, model.Vec{X: 0.02}, model.Vec{}))
	want := [][]string{
		{"Batch raw edge", "10 parts", "Job card Bracket 7; bore 5 mm; read on 4 March 2026.", "X +0.03", "Ppk of X", "Correct by the mean", "Setup 2: add X", "One of the two, not both", "single block", "r10", "does not conform", "0.1.0", "4 March 2031"},
		{"control charts", "X of each part", "Y, jump from the part before", "Distance in the plane", "The batch is steady as far as these parts show"},
		{"Batch fixed", "f12", "conforms"},
		{"control charts"},
		{"Batch fixed against batch raw edge", "It helped", "Closer to even by", "by chance alone", "quarter of the tolerance", "unrolled rim"},
		{"Batch drifting", "stand out", "not steady", "find what changes from part to part"},
		{"Part d1, X: ", "the weighted average has drifted", "Likely causes", "Thermal drift or wear in the course of the batch"},
		{"against batch fixed"},
		{"Batch pair", "fewer than three parts", "Capability needs three parts"},
		{"Batch pair against batch drifting"},
	}
	if len(pages) != len(want) {
		t.Fatalf("%d pages, want %d", len(pages), len(want))
	}
	for i, p := range pages {
		for _, paper := range []Paper{A4, Letter} {
			got := words(p, paper)
			for _, w := range want[i] {
				if !strings.Contains(got, w) {
					t.Errorf("page %d doesn't say %q; it says:\n%s", i+1, w, got)
				}
			}
			for _, w := range []string{"NaN", "Inf", "%!"} {
				if strings.Contains(got, w) {
					t.Errorf("page %d says %q:\n%s", i+1, w, got)
				}
			}
		}
	}
	var pdf bytes.Buffer
	if err := Write(&pdf, A4, pages...); err != nil || !bytes.HasPrefix(pdf.Bytes(), []byte("%PDF")) {
		t.Errorf("%v", err)
	}
}

// A page of 300 parts stays on its sheet and says what it leaves out.
func TestBatchPageHoldsManyParts(t *testing.T) {
	pages := pagesOf(t, nil, batchOf("many", 300, model.Vec{}, model.Vec{}))
	_, h := A4.Size()
	for _, s := range written(pages[0], A4) {
		if strings.HasPrefix(s.String, "Y, ") {
			continue // a label on its side
		}
		if s.Point.Y < 0 || s.Point.Y > h {
			t.Errorf("%q is off the sheet at %v", s.String, s.Point.Y)
		}
	}
	if got := words(pages[0], A4); !strings.Contains(got, "more") {
		t.Errorf("it doesn't say that parts are missing:\n%s", got)
	}
}

func TestFunnelPageShowsTheFourHabits(t *testing.T) {
	p := &FunnelPage{Shows: []batch.FunnelShow{batch.ShowFunnel(0, 0.005, 40, 5), batch.ShowFunnel(0.015, 0.005, 40, 5)}}
	got := words(p, A4)
	for _, w := range []string{"Leave it alone: ", "Correct by the last part: ", "Correct as advised: ", "mm rms", "The offset is right", "wrong to begin with"} {
		if !strings.Contains(got, w) {
			t.Errorf("it doesn't say %q:\n%s", w, got)
		}
	}
}

// An axis whose mean is smaller than its own uncertainty is left on the Bench, and
// so it is after a batch: no figure for it, on the page or in words.
func TestABatchLeavesAnAxisThatChanceMayMove(t *testing.T) {
	a, err := AnswerBatch(batchOf("raw edge", 8, model.Vec{X: 0.05, Y: 0.001}, model.Vec{}), nil)
	if err != nil {
		t.Fatal(err)
	}
	m, told := a.Moves(chart.MM), strings.Join(a.CorrectionWords(chart.MM), "\n")
	if len(m) != 2 || m[0].X == "" || m[0].Y != "" || m[1].X == "" || m[1].Y != "" {
		t.Errorf("moves %+v, want X moved and Y left", m)
	}
	if !strings.Contains(told, "Leave Y") || !strings.Contains(told, "add X\u00a0−0.0") || strings.Contains(told, "Y\u00a0") {
		t.Errorf("it says:\n%s", told)
	}
}

func TestOnePartSaysLittle(t *testing.T) {
	a, err := AnswerBatch(batchOf("one", 1, model.Vec{X: 0.03}, model.Vec{}), nil)
	if err != nil {
		t.Fatal(err)
	}
	all := a.Figures(chart.MM) + a.Where(chart.MM) + strings.Join(append(a.CorrectionWords(chart.MM), a.CapabilityWords()...), " ")
	if strings.Contains(all, "NaN") || !strings.Contains(all, "no spread") || len(a.Moves(chart.MM)) > 0 {
		t.Errorf("%s", all)
	}
	// An earlier batch of the job tells the spread.
	history := model.Sym2{XX: 4e-6, YY: 4e-6}
	b, err := AnswerBatch(a.Batch, &history)
	if err != nil || len(b.Moves(chart.MM)) != 2 {
		t.Errorf("with history: %v, %v", b.Advice, err)
	}
}

// What a page has to say about its dots stands there to the end.
func TestSimulationPageIsNotCutShort(t *testing.T) {
	page := &FunnelPage{Shows: []batch.FunnelShow{batch.ShowFunnel(0, 0.005, 40, 5), batch.ShowFunnel(0.015, 0.005, 40, 5)}, Version: "0.1.0"}
	for _, paper := range []Paper{A4, Letter} {
		if got := words(page, paper); strings.Contains(got, "…") || !strings.Contains(got, "in which far parts count more.") {
			t.Errorf("the page says %s", got)
		}
	}
}

// A direction is told as it was typed on the job card, and as the budget tells it.
func TestDirectionIsToldAsOnTheCard(t *testing.T) {
	for deg, want := range map[float64]string{-157: "−157.0° counter-clockwise from right", 90: "90.0° counter", 270: "−90.0° counter", 0: "0.0° counter"} {
		rows := inputs(model.JobCard{BoreMM: 8, PlusX: deg * math.Pi / 180}.WithDefaults(), chart.MM)
		if got := fmt.Sprint(rows); !strings.Contains(got, "{+X in the photo "+want) {
			t.Errorf("%g degrees: %s, want %s", deg, got, want)
		}
	}
}
