package vision

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"evenrim/model"
	"evenrim/vision/columns"
)

// The photos of testdata with their exact truth (path-traced by a general-purpose
// renderer, see the README there): the whole way from file to mismatch.
func TestPhotosOfKnownMismatch(t *testing.T) {
	dir, photos := knownPhotos(t)
	below := 0
	for _, p := range photos {
		photo, err := Open(context.Background(), filepath.Join(dir, p.File))
		if err != nil {
			t.Fatalf("%s: %v", p.File, err)
		}
		job := p.job()
		trace, err := Trace(context.Background(), photo, job, nil)
		if err != nil {
			t.Errorf("%s: %v", p.File, err)
			continue
		}
		r, err := model.Solve(trace, job)
		if err != nil {
			t.Errorf("%s: %v", p.File, err)
			continue
		}
		off := r.Mismatch.Sub(model.Vec{X: p.DX, Y: p.DY}).Norm()
		if off < 0.010 {
			below++
		}
		// Twice the stated 95 % region is passed by no photo of these.
		if off > 2*r.U95MM {
			t.Errorf("%s: mismatch off by %.4f mm, stated %.4f mm", p.File, off, r.U95MM)
		}
		if d := math.Abs(r.WidthMM - p.Width); d > 0.03 {
			t.Errorf("%s: width %.4f mm, want %.4f", p.File, r.WidthMM, p.Width)
		}
		if d := math.Abs(r.Camera.PxPerMM/p.PxPerMM - 1); d > 0.02 {
			t.Errorf("%s: %.2f px/mm, want %.2f", p.File, r.Camera.PxPerMM, p.PxPerMM)
		}
	}
	// Two of the twelve, lit from one side, are known to be worse than 10 um: the
	// README says so. Fewer than the other ten is a step back.
	if below < len(photos)-2 {
		t.Errorf("%d of %d photos within 10 um, want all but two", below, len(photos))
	}
}

// knownPhoto is a photo's truth, as index.json has it.
type knownPhoto struct {
	File      string  `json:"file"`
	DX        float64 `json:"dx_mm"`
	DY        float64 `json:"dy_mm"`
	Bore      float64 `json:"bore_diameter_mm"`
	Width     float64 `json:"chamfer_width_mm"`
	Nominal   float64 `json:"nominal_chamfer_width_mm"`
	HalfAngle float64 `json:"chamfer_half_angle_deg"`
	Thickness float64 `json:"thickness_mm"`
	PxPerMM   float64 `json:"px_per_mm"`
	PlusX     float64 `json:"plus_x_deg"`
}

func (p knownPhoto) job() model.JobCard {
	return model.JobCard{BoreMM: p.Bore, ChamferMM: p.Nominal, ThicknessMM: p.Thickness,
		HalfAngle: p.HalfAngle * math.Pi / 180, PlusX: p.PlusX * math.Pi / 180}.WithDefaults()
}

// knownPhotos are the photos of testdata and the folder they are in.
func knownPhotos(t *testing.T) (dir string, photos []knownPhoto) {
	t.Helper()
	dir = filepath.Join("..", "testdata", "photos")
	data, err := os.ReadFile(filepath.Join(dir, "index.json"))
	if err != nil {
		t.Fatal(err)
	}
	var index struct{ Photos []knownPhoto }
	if err := json.Unmarshal(data, &index); err != nil || len(index.Photos) == 0 {
		t.Fatalf("no truth in %s: %v", dir, err)
	}
	return dir, index.Photos
}

func TestTraceRefusesWhereThereIsNoHole(t *testing.T) {
	job := model.JobCard{BoreMM: 8}.WithDefaults()
	for name, grey := range map[string]func(x, y int) uint8{
		"even":    func(int, int) uint8 { return 120 },
		"black":   func(int, int) uint8 { return 0 },
		"stripes": func(x, y int) uint8 { return uint8(100 + 60*((x+y)/7%2)) },
	} {
		p := &Photo{W: 640, H: 480, Gray8: make([]uint8, 640*480)}
		for i := range p.Gray8 {
			p.Gray8[i] = grey(i%640, i/640)
		}
		trace, err := Trace(context.Background(), p, job, nil)
		if err == nil {
			_, err = model.Solve(trace, job)
		}
		var refusal *model.Refusal
		if !errors.As(err, &refusal) {
			t.Errorf("%s picture: got %v, want a refusal", name, err)
		}
	}
}

func TestTraceStopsWhenCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := &Photo{W: 64, H: 64, Gray8: make([]uint8, 64*64)}
	if _, err := Trace(ctx, p, model.JobCard{BoreMM: 8}.WithDefaults(), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want context.Canceled", err)
	}
}

// A single line of light between two levels, with Gaussian noise: the fitted place
// is where the step is, and its sd is the scatter it has.
func TestEdgeFitFindsABlurredStep(t *testing.T) {
	const blur, at = 1.3, 0.37
	var lights, distances []float64
	seed := uint32(1)
	noise := func() float64 { // sum of twelve uniforms less six: near enough normal
		s := -6.0
		for range 12 {
			seed = seed*1664525 + 1013904223
			s += float64(seed>>8) / (1 << 24)
		}
		return s
	}
	for i := range 300 {
		d := float64(i)/20 - 7.5
		light := 0.2 + 0.5*0.5*math.Erfc((d-at)/blur/math.Sqrt2) + 0.01*noise()
		lights, distances = append(lights, light), append(distances, d)
	}
	px := &columns.Columns{}
	px.Set(lights, distances)
	m := edgeModel{rims: []int{outer}, blur: [nRims]float64{blur, blur, blur}, limit: 2.5, widen: 1}
	out, ok := m.fit(px)
	if !ok {
		t.Fatal("no fit")
	}
	f := out[outer]
	if off := math.Abs(f.shift - at); off > 4*f.sd || f.sd > 0.05 {
		t.Errorf("edge at %.3f +/- %.3f px, want %.3f", f.shift, f.sd, at)
	}
	if math.Abs(f.contrast-0.5) > 0.02 {
		t.Errorf("contrast %.3f, want 0.5", f.contrast)
	}
}
