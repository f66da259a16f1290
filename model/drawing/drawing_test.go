package drawing

import (
	"bytes"
	"image/color"
	"regexp"
	"strings"
	"testing"

	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
)

func TestDrawingsHaveNamesAndCaptions(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range All() {
		if seen[d.Name] || !regexp.MustCompile(`^[a-z0-9-]+$`).MatchString(d.Name) {
			t.Errorf("%q is no name, or is there twice", d.Name)
		}
		seen[d.Name] = true
		if d.Title == "" || len(d.Title) > 30 || !strings.HasSuffix(d.Caption, ".") {
			t.Errorf("%s: title %q, caption %q", d.Name, d.Title, d.Caption)
		}
		if got, ok := Get(d.Name); !ok || got.Title != d.Title {
			t.Errorf("Get(%q) = %q, %v", d.Name, got.Title, ok)
		}
	}
	if _, ok := Get("nothing"); ok {
		t.Error("a drawing called nothing was found")
	}
	for _, want := range []string{"two-setups", "even", "wide", "edges", "step", "plus-x", "turn-set", "flip-about-x", "flip-about-y"} {
		if !seen[want] {
			t.Errorf("no drawing called %s", want)
		}
	}
}

// No word may be cut by the picture's border, whatever its shape.
func TestWordsStayInside(t *testing.T) {
	for _, d := range All() {
		for _, size := range [][2]vg.Length{{360, 220}, {720, 440}, {300, 400}} {
			var rec recorder.Canvas
			d.Figure(chart.Light()).Draw(draw.NewCanvas(&rec, size[0], size[1]))
			n := 0
			for _, a := range rec.Actions {
				s, ok := a.(*recorder.FillString)
				if !ok {
					continue
				}
				n++
				// The face isn't kept by the recorder: measure anew.
				k := min(float64(size[0])/boxW, float64(size[1])/boxH)
				st := chart.Light().Scaled(k).Text(chart.Bold, letter, nil)
				if x0, x1 := s.Point.X, s.Point.X+st.Width(s.String); x0 < 0 || x1 > size[0]+1 {
					t.Errorf("%s at %v: %q spans %.0f to %.0f", d.Name, size, s.String, x0, x1)
				}
				if y := s.Point.Y; y < 2 || y > size[1]-vg.Length(k*letter*0.6) {
					t.Errorf("%s at %v: %q stands at %.0f", d.Name, size, s.String, y)
				}
			}
			if n < 3 {
				t.Errorf("%s says %d things, want at least 3", d.Name, n)
			}
		}
	}
}

func TestDrawingsInEachStyle(t *testing.T) {
	for _, d := range All() {
		pictures := map[string]bool{}
		for _, s := range []chart.Style{chart.Light(), chart.Dark(), chart.Print()} {
			img := chart.Render(d.Figure(s), 360, 220, 96)
			if !img.Opaque() {
				t.Errorf("%s, %s: holes in the picture", d.Name, s.Name)
			}
			pictures[string(img.Pix)] = true
			if !bytes.Equal(img.Pix, chart.Render(d.Figure(s), 360, 220, 96).Pix) {
				t.Errorf("%s, %s: drawn differently the second time", d.Name, s.Name)
			}
		}
		if len(pictures) != 3 {
			t.Errorf("%s looks the same in different styles", d.Name)
		}
	}
}

// A dimension too short for its two heads has them outside, where they don't cross.
func TestAShortDimensionIsPointedAtFromOutside(t *testing.T) {
	heads := func(length float64) (between, outside int) {
		var rec recorder.Canvas
		d := newSketch(draw.NewCanvas(&rec, boxW, boxH), chart.Light())
		rec.Reset()
		d.both(d.s.Ink, pt{X: 100, Y: 100}, pt{X: 100 + length, Y: 100})
		for _, a := range rec.Actions {
			s, ok := a.(*recorder.Stroke)
			if !ok {
				continue
			}
			for _, p := range s.Path {
				switch x := float64(p.Pos.X); {
				case x > 100.01 && x < 100+length-0.01:
					between++
				case x < 99.99 || x > 100+length+0.01:
					outside++
				}
			}
		}
		return between, outside
	}
	if between, outside := heads(40); between == 0 || outside != 0 {
		t.Errorf("40 long: %d points between the ends, %d outside", between, outside)
	}
	if between, outside := heads(6); between != 0 || outside == 0 {
		t.Errorf("6 long: %d points between the ends, %d outside", between, outside)
	}
}

// The word for the narrow place stands clear of the curve that it
// names, and so does the one for the wide place.
func TestTheWordsOnTheWideRimStandClear(t *testing.T) {
	style := chart.Light()
	var rec recorder.Canvas
	d, _ := Get("wide")
	d.Figure(style).Draw(draw.NewCanvas(&rec, boxW, boxH))
	text := style.Text(chart.Bold, letter, nil)
	var col color.Color
	for _, word := range []string{"narrow", "wide"} {
		var x0, x1, y0, y1 vg.Length
		for _, a := range rec.Actions {
			if s, ok := a.(*recorder.FillString); ok && s.String == word {
				x0, x1, y0, y1 = s.Point.X, s.Point.X+text.Width(word), s.Point.Y, s.Point.Y+letter*0.7
			}
		}
		if x1 == 0 {
			t.Fatalf("no word %q", word)
		}
		for _, a := range rec.Actions {
			switch s := a.(type) {
			case *recorder.SetColor:
				col = s.Color
			case *recorder.Stroke:
				for _, p := range s.Path {
					if q := p.Pos; col == style.Setup2 && q.X >= x0 && q.X <= x1 && q.Y >= y0-1 && q.Y <= y1+1 {
						t.Errorf("%q from (%.0f, %.0f) to (%.0f, %.0f) lies on the curve at (%.0f, %.0f)", word, x0, y0, x1, y1, q.X, q.Y)
						break
					}
				}
			}
		}
	}
}
