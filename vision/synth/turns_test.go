package synth

import (
	"math"
	"strings"
	"testing"
)

// Photos of one hole differ by the part's turn and the noise alone; the next hole is another.
func TestAHoleIsPhotographedTurned(t *testing.T) {
	const seed, turns = 11, 4
	var first Scene
	for i := range 2 * turns {
		s := RandomTurned(seed, i, turns)
		truth := newTruth(s)
		if i%turns == 0 {
			first = s
		}
		if truth.Series == nil || *truth.Series != [2]string{"hole-00001", "hole-00002"}[i/turns] {
			t.Errorf("photo %d: series %v", i, truth.Series)
		}
		if s.Mismatch != first.Mismatch || s.Seed != first.Seed || s.BlurPx != first.BlurPx || s.LightAzimuth != first.LightAzimuth || s.Light != Lights[i/turns] {
			t.Errorf("photo %d is not of the same hole under the same camera: %+v", i, s)
		}
		if got := math.Remainder(truth.Turn-float64(i%turns)*90, 360); math.Abs(got) > 6 || i%turns > 0 && got == 0 {
			t.Errorf("photo %d is turned by %g degrees, %g from what was wanted: want a hand's few", i, truth.Turn, got)
		}
		if s.Frame != uint64(i%turns) {
			t.Errorf("photo %d has the noise of picture %d", i, s.Frame)
		}
	}
	if a, b := RandomTurned(seed, 0, turns), RandomTurned(seed, turns, turns); a.Mismatch == b.Mismatch {
		t.Error("the second hole is the first again")
	}
}

func TestOneTurnIsARandomScene(t *testing.T) {
	s := RandomTurned(5, 3, 1)
	if want := Random(8, Lights[3]).WithDefaults(); s.Mismatch != want.Mismatch || s.PlusX != want.PlusX || newTruth(s).Series != nil {
		t.Errorf("one photo of each hole: %+v, want %+v without a series", s, want)
	}
	for _, turns := range []int{0, MostTurns + 1} {
		if err := WriteSet(t.Context(), t.TempDir(), 1, turns, 1, nil); !isSceneError(err) {
			t.Errorf("%d turns gave %v, want a sentence", turns, err)
		}
	}
}

// The list of a turned set joins its photos: by part, with the turn to a tenth of a degree.
func TestTheListOfATurnedSetNamesTurns(t *testing.T) {
	name := "hole-00007"
	list := listOf([]Truth{{File: "a.jpg", ID: "a", Series: &name, Turn: 91.26}, {File: "b.jpg", ID: "b"}})
	for _, want := range []string{",part,turn\n", "hole-00007,91.3\n", ",b,\n"} {
		if !strings.Contains(string(list), want) {
			t.Errorf("the list does not say %q:\n%s", want, list)
		}
	}
}
