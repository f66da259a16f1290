package assets

import (
	"bytes"
	"image/jpeg"
	"testing"

	"evenrim/model"
)

func TestTheSamplePartIsWhole(t *testing.T) {
	s := Part()
	list, err := model.ParseList(s.Readings, "", model.JobCard{})
	if err != nil || len(list.Notes) > 0 {
		t.Fatalf("list: %v, %q", err, list.Notes)
	}
	if len(list.Rows) != 6 || len(s.Photos) != 6 {
		t.Errorf("%d rows, %d photos, want six holes", len(list.Rows), len(s.Photos))
	}
	for _, r := range list.Rows {
		if r.Err != nil || r.HoleAt == nil {
			t.Errorf("%s: %v, place %v", r.Photo, r.Err, r.HoleAt)
		}
		c, err := jpeg.DecodeConfig(bytes.NewReader(s.Photos[r.Photo]))
		if err != nil || c.Width*c.Height < 1e6 {
			t.Errorf("%s: %d x %d, %v; want a picture of a million pixels or more", r.Photo, c.Width, c.Height, err)
		}
	}
	walls, err := model.ParseWalls(s.Walls, "")
	if err != nil || len(walls) != 4 {
		t.Fatalf("walls: %d, %v", len(walls), err)
	}
	for _, w := range walls {
		if w.Err != nil || w.Part != list.Rows[0].Part {
			t.Errorf("wall %s of part %q: %v", w.Wall.Name, w.Part, w.Err)
		}
	}
}
