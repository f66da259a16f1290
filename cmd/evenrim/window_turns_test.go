package main

import (
	"path/filepath"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/record"
)

// A turn set in the real window: the first photo by its name, the guide by a key, the
// second photo dropped. What both say together comes into the record by itself, with
// the very readings that are kept there.
func TestTurnSetOnAScreen(t *testing.T) {
	photo := func(deg string) string {
		path, err := filepath.Abs(filepath.Join("..", "..", "testdata", "photos", "valve-rod-bracket-"+deg+".jpg"))
		if err != nil {
			t.Fatal(err)
		}
		return path
	}
	hand := &hand{openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 2*time.Minute, "--bore", "8mm", "--chamfer", "0.3mm", "--thickness", "12.83mm",
		"--plus-x", "151.62", photo("000"))}
	hand.waitForWindow()
	first := hand.kept("the first reading", func(e record.Entry) bool { return true })
	hand.do("key", "ctrl+t")
	time.Sleep(time.Second)
	dropFiles(hand.onScreen, photo("180"))

	var sets []record.SetEntry
	var joined *model.Joined
	hand.wait("the turn set in the record", func() bool {
		s, err := record.Open(t.Context(), hand.data)
		if err != nil {
			return false
		}
		defer s.Close()
		if sets, err = s.TurnSets(t.Context(), 0); err != nil || len(sets) == 0 {
			return false
		}
		joined, _, err = s.TurnSet(t.Context(), sets[0].ID)
		return err == nil
	})
	if len(sets) != 1 || len(sets[0].Members) != 2 || sets[0].Members[0] != first.ID {
		t.Errorf("kept %+v: want one set that begins with reading %d", sets, first.ID)
	}
	want := model.Vec{X: 0.055, Y: -0.03} // testdata/photos/index.json
	if d := joined.Set.Mismatch.Sub(want).Norm(); !(d <= joined.Set.U95MM) {
		t.Errorf("joined %v, %.4f mm off the truth, with a stated %.4f mm", joined.Set.Mismatch, d, joined.Set.U95MM)
	}
	hand.end()
}
