package report

import (
	"fmt"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"
)

// How many parts show a shift worth knowing: more where the camera may have moved, and then turn
// sets are the better way; none where it hides the shift, or the parts spread too widely.
func TestWordsOfHowManyPartsAreNeeded(t *testing.T) {
	each := func(sdMM float64) model.Sym2 { return model.Sym2{XX: sdMM * sdMM, YY: sdMM * sdMM} }
	many, err := batch.SmallestBatch(0.0254/4, each(0.005), model.Sym2{}, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name         string
		parts        float64
		camera       float64
		says, unsaid []string
	}{
		{"a camera that stays", 0.005, 0, []string{"To show a shift of 0.0063", fmt.Sprintf("make %d parts before and %d after.", many, many)}, []string{"turn sets"}},
		{"a camera that may have moved a little", 0.005, 0.0017, []string{"To show a shift", "as turn sets", fmt.Sprintf("%d and %d.", many, many)}, nil},
		{"a camera that hides it", 0.005, 0.004, []string{"hides a shift of", fmt.Sprintf("then %d parts before and %d after", many, many)}, []string{"never"}},
		{"parts all over the place", 0.5, 0, []string{"never show a shift"}, []string{"turn sets", "Turn sets"}},
	} {
		a := CompareAnswer{B: batch.Batch{ToleranceMM: 0.0254}, Comparison: &batch.Comparison{PartCov: each(c.parts), Shared: each(c.camera)}}
		said := strings.Join(a.needed(chart.MM), " ")
		for _, w := range c.says {
			if !strings.Contains(said, w) {
				t.Errorf("%s: %q is missing in %q", c.name, w, said)
			}
		}
		for _, w := range c.unsaid {
			if strings.Contains(said, w) {
				t.Errorf("%s: %q is in %q", c.name, w, said)
			}
		}
	}
}
