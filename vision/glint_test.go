package vision

import (
	"slices"
	"testing"
)

// A rounded edge shines along a stretch, and so do the arcs between two that were asked
// and shine, across the start of the numbers too; one sparkle shines in its own arc.
func TestABrightLineGoesOnBetweenArcsThatShine(t *testing.T) {
	const n, stride = 10, 3 // 0, 3, 6 and 9 are asked
	line := edgeFit{contrast: 0.1, glint: 1, glintSD: 0.05}
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
