package vision

import (
	"context"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"
)

// plate draws a bright plate with tool marks on a dark ground, one edge through
// the point (x0, y0) at an angle (screen, counter-clockwise), the plate below it;
// noise and marks are ours.
func plate(w, h int, x0, y0, angle, marks float64, ground uint8) *Photo {
	rng := rand.New(rand.NewPCG(5, 7))
	p := &Photo{W: w, H: h, Gray8: make([]uint8, w*h)}
	s, c := math.Sincos(angle)
	for y := range h {
		for x := range w {
			below := (float64(x)-x0)*s + (float64(y)-y0)*c // y grows downwards
			v := float64(ground)
			if t := math.Min(math.Max(below/1.5+0.5, 0), 1); t > 0 {
				face := 140 + 45*math.Sin((float64(x)*math.Cos(marks)+float64(y)*math.Sin(marks))/2.7)
				v += t * (face - v)
			}
			p.Gray8[y*w+x] = uint8(math.Min(math.Max(v+6*rng.NormFloat64(), 0), 255))
		}
	}
	return p
}

func TestStraightEdgesFindThePartsEdge(t *testing.T) {
	for _, deg := range []float64{0, 7, -23, 61, 88} {
		p := plate(1600, 1200, 800, 420, deg*math.Pi/180, 0.6, 20)
		got, err := StraightEdges(context.Background(), p)
		if err != nil || len(got) == 0 {
			t.Errorf("edge at %g degrees: found %d, %v", deg, len(got), err)
			continue
		}
		off := math.Remainder(got[0].AngleRad-deg*math.Pi/180, math.Pi)
		if math.Abs(off) > 0.25*math.Pi/180 {
			t.Errorf("edge at %g degrees: found at %.2f ± %.2f, off by more than 0.25", deg, got[0].AngleRad*180/math.Pi, got[0].URad*180/math.Pi)
		}
		for _, e := range got {
			if math.Abs(math.Remainder(e.AngleRad-deg*math.Pi/180, math.Pi)) > 2*math.Pi/180 {
				t.Errorf("edge at %g degrees: another at %.1f is no edge of the part", deg, e.AngleRad*180/math.Pi)
			}
		}
	}
}

// Photos that show only a face with tool marks, a hole and its shine have no
// straight edge.
func TestToolMarksAreNoEdges(t *testing.T) {
	names, err := filepath.Glob("../assets/photos/*.jpg")
	if err != nil || len(names) == 0 {
		t.Fatal("no sample photos: ", err)
	}
	for _, name := range names {
		p, err := Open(context.Background(), name)
		if err != nil {
			t.Fatal(err)
		}
		if got, _ := StraightEdges(context.Background(), p); len(got) > 0 {
			t.Errorf("%s: %d straight edges on a plain face, the first at %.1f degrees, from %v to %v", filepath.Base(name), len(got), got[0].AngleRad*180/math.Pi, got[0].From, got[0].To)
		}
		p.Close()
	}
}

func BenchmarkStraightEdges(b *testing.B) {
	p := plate(4000, 3000, 2000, 1000, 0.1, 0.6, 20)
	for b.Loop() {
		if _, err := StraightEdges(context.Background(), p); err != nil {
			b.Fatal(err)
		}
	}
}
