package vision

import (
	"testing"

	"evenrim/vision/synth"
)

// Marks of a face mill that are bolder than the rims and lie close: such photos, in which anybody
// sees the hole, were refused as without one.
func TestAHoleAmongBoldMarksIsFound(t *testing.T) {
	for _, c := range []struct {
		name string
		seed uint64
		kind synth.Light
	}{
		{"side light", 7086638178683056943, synth.Side},
		{"side light", 7086638178683058611, synth.Side},
		{"window light", 7086638178683061871, synth.Window},
	} {
		readsTrue(t, c.name, synth.Random(c.seed, c.kind), 0.6)
	}
}
