package main

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// Whatever stands in the file of job cards: it is refused and left alone, or its
// cards can be looked at, and saving one more leaves the others as they were.
func FuzzJobCards(f *testing.F) {
	f.Add([]byte(`[{"Name":"lug","BoreMM":8,"ChamferMM":0.3},{"Name":"LUG","BoreMM":-1e308}]`))
	f.Add([]byte(`[{"Name":"half a`))
	f.Add([]byte(`null`))
	f.Fuzz(func(t *testing.T, data []byte) {
		c := &cardFile{dir: t.TempDir()}
		if err := os.WriteFile(c.path(), data, 0o600); err != nil {
			t.Fatal(err)
		}
		before, err := c.All()
		fresh := model.JobCard{Name: "one more", BoreMM: 10}
		saved := c.Save(fresh)
		if err != nil {
			if now, _ := os.ReadFile(c.path()); saved == nil || string(now) != string(data) {
				t.Fatalf("a file that cannot be read was written over: %v", saved)
			}
			return
		}
		if saved != nil {
			t.Fatal(saved)
		}
		after, err := c.All()
		if err != nil {
			t.Fatal(err)
		}
		for _, card := range without(before, fresh.Name) {
			card.WithDefaults().Validate()
			if !slices.ContainsFunc(after, func(o model.JobCard) bool { return reflect.DeepEqual(o, card) }) {
				t.Fatalf("the card %+v is gone", card)
			}
		}
	})
}

// Whatever stands in a bench's list of truths: it is refused, or each photo's card
// is made of finite numbers.
func FuzzKnownPhotos(f *testing.F) {
	f.Add([]byte(`{"photos":[{"file":"a.jpg","hole":false},{"file":"../b.jpg","bore_diameter_mm":8,"px_per_mm":0}]}`))
	f.Add([]byte(`{"photos":[]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "index.json"), data, 0o600); err != nil {
			t.Fatal(err)
		}
		set, err := (&benchVerb{app: &app{}, photos: dir}).set()
		if err != nil {
			return
		}
		if set.n == 0 {
			t.Fatal("a list without photos was taken")
		}
		for i := range set.n {
			p := set.get(i)
			if c := p.job(); math.IsNaN(c.BoreMM) || math.IsNaN(c.HalfAngle) || math.IsNaN(c.PlusX) {
				t.Fatalf("photo %d has the card %+v", i, c)
			}
		}
	})
}

// Whatever is given as damage on the command line is refused with a sentence or is
// one the photo can be drawn with.
func FuzzDamage(f *testing.F) {
	f.Add("gouge@35")
	f.Add("dust")
	f.Add("smear@-1e308")
	f.Add("@")
	scene := synth.Scene{}.WithDefaults()
	f.Fuzz(func(t *testing.T, text string) {
		d, err := parseDamage(text, scene)
		if err != nil {
			return
		}
		s := scene
		s.Damage = []synth.Damage{d}
		if err := s.Validate(); err != nil {
			t.Fatalf("%q was taken and cannot be drawn: %v", text, err)
		}
	})
}
