package vision

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenrim/model"
	"evenrim/vision/columns"
	"evenrim/vision/synth"
)

// A rounded edge shines along a stretch, and so do the arcs between two that were asked
// and shine, across the start of the numbers too; one sparkle shines in its own arc.
func TestABrightLineGoesOnBetweenArcsThatShine(t *testing.T) {
	const n, stride = 10, 3 // 0, 3, 6 and 9 are asked
	line := edgeFit{snr: 20, contrast: 0.1, glint: 1, glintSD: 0.05}
	for _, c := range []struct{ shining, want []int }{
		{nil, nil},
		{[]int{3}, []int{3}},
		{[]int{3, 6}, []int{3, 4, 5, 6}},
		{[]int{0, 9}, []int{0, 9}}, // nothing lies between 9 and 0
		{[]int{0, 3, 6, 9}, []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}},
	} {
		fits := make([]arcFit, n)
		for i := range fits {
			fits[i].blur[outer], fits[i].found[outer] = 1.4, i%stride == 0
			if slices.Contains(c.shining, i) {
				fits[i].edge[outer] = line
			}
		}
		var got []int
		for i, s := range shiningArcs(fits, stride, outer) {
			if s {
				got = append(got, i)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("of arcs %v that shine come %v, want %v", c.shining, got, c.want)
		}
	}
	// With 11 arcs one lies between the last asked and the first.
	fits := make([]arcFit, 11)
	for i := 0; i < 11; i += stride {
		fits[i].blur[outer], fits[i].found[outer], fits[i].edge[outer] = 1.4, true, line
	}
	if s := shiningArcs(fits, stride, outer); !s[10] {
		t.Error("the arc between the last asked and the first does not shine with them")
	}
	for _, dim := range []edgeFit{
		{contrast: 0.1, glint: 1, glintSD: 0.3},      // not known well enough
		{contrast: 1, glint: 1, glintSD: 0.05},       // the step outshines it
		{contrast: 0.1, glint: 0.01, glintSD: 0.001}, // faint
	} {
		fits := make([]arcFit, n)
		fits[0].blur[outer], fits[0].found[outer], fits[0].edge[outer] = 1.4, true, dim
		if shiningArcs(fits, stride, outer)[0] {
			t.Errorf("a line like %+v shines", dim)
		}
	}
}

// linesAt makes asked arcs (every third of n) with a bright line and no step at the given
// arcs and plain steps elsewhere; the line of arc i lies shift(i) px out.
func linesAt(n int, shift map[int]float64, light float64) []arcFit {
	fits := make([]arcFit, n)
	for i := range fits {
		fits[i].blur[outer] = 1.4
		fits[i].found[outer] = true
		fits[i].edge[outer] = edgeFit{contrast: 0.2, snr: 60, glint: 0.01, glintSD: 0.02}
		if s, is := shift[i]; is {
			fits[i].edge[outer] = edgeFit{contrast: 0.004, snr: 1, glint: light, glintSD: 0.02, shift: s}
		}
	}
	return fits
}

func TestALineWithoutAStepIsBelievedWhereItGoesOn(t *testing.T) {
	for name, c := range map[string]struct {
		shift map[int]float64
		want  []int
	}{
		"alone":                       {map[int]float64{30: 0}, nil},
		"two beside each other":       {map[int]float64{30: 0, 33: 0.3}, []int{30, 31, 32, 33}},
		"two apart":                   {map[int]float64{30: 0, 36: 0.1}, nil},
		"a mark that crosses the rim": {map[int]float64{30: -1.5, 33: 0, 36: 1.5}, nil},
		"over the seam of the angles": {map[int]float64{93: 0.1, 0: 0, 3: -0.2}, []int{0, 1, 2, 3, 93, 94, 95}},
	} {
		want := map[int]bool{}
		for _, i := range c.want {
			want[i] = true
		}
		for i, shines := range shiningArcs(linesAt(96, c.shift, 0.4), fewArcs, outer) {
			if shines != want[i] {
				t.Errorf("%s: arc %d shines %v", name, i, shines)
			}
		}
	}
}

func TestALineThatGoesOnShinesAlike(t *testing.T) {
	fits := linesAt(96, map[int]float64{30: 0, 33: 0.1}, 0.4)
	fits[33].edge[outer].glint = -0.4
	for i, shines := range shiningArcs(fits, fewArcs, outer) {
		if shines {
			t.Errorf("arc %d: a bright line went on as a dark one", i)
		}
	}
}

func TestAnEdgeWithoutAStepIsBelievedForItsLine(t *testing.T) {
	m := edgeModel{rims: []int{outer}, limit: laterLimit}
	m.blur[outer] = 1.4
	for name, c := range map[string]struct {
		e    edgeFit
		want bool
	}{
		"a step":              {edgeFit{snr: 20}, true},
		"neither":             {edgeFit{snr: 2}, false},
		"a line":              {edgeFit{snr: 2, glint: 0.5, glintSD: 0.05}, true},
		"a line in the noise": {edgeFit{snr: 2, glint: 0.5, glintSD: 0.1}, false},
		"a line far off":      {edgeFit{snr: 2, glint: 0.5, glintSD: 0.05, shift: 2 * laterLimit}, false},
	} {
		if got := m.believes([nRims]edgeFit{outer: c.e}); got != c.want {
			t.Errorf("%s: believed %v", name, got)
		}
	}
}

// A line that a fit was not asked for is none, however bright: the fit holds it at nothing,
// and how tightly it does so is no measure of it.
func TestALineThatWasNotAskedForDoesNotShine(t *testing.T) {
	const blur = 1.4
	rng := rand.New(rand.NewPCG(11, 28))
	var lights, distances []float64
	for i := range 400 {
		d := float64(i)/25 - 8
		distances = append(distances, d)
		lights = append(lights, 0.4+0.3*math.Exp(-sq(d/blur)/2)+0.0003*rng.NormFloat64())
	}
	px := &columns.Columns{}
	px.Set(lights, distances)
	m := edgeModel{rims: []int{outer}, blur: [nRims]float64{blur, blur, blur}, limit: laterLimit, widen: 1, askBlur: true}
	held, ok := m.fit(px)
	if e := held[outer]; !ok || e.shines() || e.glint != 0 || e.glintSD != 0 {
		t.Errorf("not asked for, fitted %v: %+v", ok, e)
	}
	m.askGlint[outer] = true
	asked, ok := m.fit(px)
	if !ok || !asked[outer].shines() {
		t.Errorf("asked for, fitted %v: %+v", ok, asked[outer])
	}
}

// Two drawn photos in which parts of an edge are but a line: read 0.34 and 0.35 px off while
// only steps were believed.
func TestAnEdgeThatIsButALineIsFound(t *testing.T) {
	for _, c := range []struct {
		seed  uint64
		light synth.Light
	}{{17628796249593350681, synth.Side}, {17628796249593351170, synth.Coaxial}} {
		p, truth, job := sceneAsFile(t, synth.Random(c.seed, c.light))
		r, err := read(p, job)
		if err != nil {
			t.Fatal(err)
		}
		off := r.Mismatch.Sub(model.Vec{X: truth.DX, Y: truth.DY}).Norm() * truth.PxPerMM
		if off > 0.15 || off > r.U95MM*truth.PxPerMM {
			t.Errorf("%v light: %.2f px off, states %.2f", c.light, off, r.U95MM*truth.PxPerMM)
		}
	}
}
