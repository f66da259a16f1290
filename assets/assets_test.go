package assets

import (
	"bytes"
	"image/jpeg"
	"io/fs"
	"testing"
)

func TestEverySampleIsWholeAndListed(t *testing.T) {
	samples := Samples()
	listed := map[string]bool{}
	for _, s := range samples {
		listed[s.Name] = true
		c, err := jpeg.DecodeConfig(bytes.NewReader(s.Data))
		if err != nil || c.Width*c.Height < 1e6 {
			t.Errorf("%s: %d x %d, %v; want a picture of a million pixels or more", s.Name, c.Width, c.Height, err)
		}
		if err := s.Card.WithDefaults().Validate(); err != nil || s.Card.Name == "" || s.Card.ThicknessMM == 0 || s.Words == "" {
			t.Errorf("%s: card %+v, words %q: %v", s.Name, s.Card, s.Words, err)
		}
	}
	photos, err := fs.Glob(files, "photos/*.jpg")
	if err != nil || len(photos) != len(samples) || len(photos) == 0 {
		t.Errorf("%d photos embedded, %d listed, %v", len(photos), len(samples), err)
	}
	for _, p := range photos {
		if !listed[p[len("photos/"):]] {
			t.Errorf("%s is embedded but not in samples.csv", p)
		}
	}
}
