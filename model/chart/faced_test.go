package chart

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/batch"
)

// spots paints bright spots at part points on the level of the bore edge into a
// photo taken by r's camera, times smaller than the photo itself.
func spots(r *model.Reading, times int, at ...model.Vec) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, r.Photo.WidthPx/times, r.Photo.HeightPx/times))
	proj, z := r.Camera.Projector(), boreLevel(r.Solid())
	for _, p := range at {
		u, v := proj.ToPhoto(p.X, p.Y, z)
		u, v = (u+0.5)/float64(times)-0.5, (v+0.5)/float64(times)-0.5
		for y := int(v) - 6; y <= int(v)+6; y++ {
			for x := int(u) - 6; x <= int(u)+6; x++ {
				d2 := (float64(x)-u)*(float64(x)-u) + (float64(y)-v)*(float64(y)-v)
				img.SetRGBA(x, y, color.RGBA{uint8(250 * math.Exp(-d2/4)), 0, 0, 255})
			}
		}
	}
	return img
}

// Photos taken from different sides, distances and turns show one point of the part
// at one place once they are faced: exact geometry, own check.
func TestFacedPhotosLieOverEachOther(t *testing.T) {
	const size, half = 400, 3.6
	for i, at := range []model.Vec{{X: 2.1, Y: 1.2}, {X: -1.7, Y: 2.2}, {X: 0.4, Y: -2.6}} {
		for j, cam := range []model.Camera{
			{CX: 349.5, CY: 299.5, U0: 340, V0: 310, PxPerMM: 80, SlopeX: 0.02, PlusX: 0.4},
			{CX: 349.5, CY: 299.5, U0: 360, V0: 280, PxPerMM: 62, SlopeX: -0.03, SlopeY: 0.05, PlusX: -2.5, InvDistPerMM: 1.0 / 120},
			{CX: 349.5, CY: 299.5, U0: 350, V0: 300, PxPerMM: 75, SlopeY: -0.04, PlusX: 1.6, InvDistPerMM: 1.0 / 90},
		} {
			for _, times := range []int{1, 2} {
				r := sample(model.Vec{X: 0.02})
				r.Camera = cam
				got := faced(spots(r, times, at), r, half, size, size)
				var sx, sy, s float64
				for y := range size {
					for x := range size {
						w := float64(got.RGBAAt(x, y).R)
						sx, sy, s = sx+w*float64(x), sy+w*float64(y), s+w
					}
				}
				if s == 0 {
					t.Fatalf("point %d, camera %d: no spot", i, j)
				}
				// Pixel centres at integers, y down.
				wantX, wantY := (at.X/half+1)/2*size-0.5, (1-at.Y/half)/2*size-0.5
				if math.Hypot(sx/s-wantX, sy/s-wantY) > 0.3 {
					t.Errorf("point %d, camera %d, photo 1:%d: at (%.2f, %.2f), want (%.2f, %.2f) within 0.3 px", i, j, times, sx/s, sy/s, wantX, wantY)
				}
			}
		}
	}
}

// parts are n parts about a mean; every third is a little off.
func parts(n int, mean model.Vec) []batch.Part {
	var out []batch.Part
	for i := range n {
		d := mean.Add(model.Vec{X: 0.002 * math.Sin(float64(3*i)), Y: 0.002 * math.Cos(float64(5*i))})
		out = append(out, batch.Part{Name: fmt.Sprint(i + 1), D: d, Cov: model.Sym2{XX: 1e-6, YY: 1e-6}})
	}
	return out
}

func TestBatchMapNamesBatchesAndDrawsAnEllipseOfEach(t *testing.T) {
	b := []batch.Batch{{Name: "raw edge", Parts: parts(8, model.Vec{X: 0.03}), ToleranceMM: 0.0254}, {Name: "", Parts: parts(2, model.Vec{}), ToleranceMM: 0.0254}}
	c := BatchMap(b, MapOptions{Style: Light()})
	if !c.Equal {
		t.Error("the axes are not equal")
	}
	if got := textOf(c, 400, 400); !strings.Contains(got, "raw edge") || !strings.Contains(got, "without a name") || !strings.Contains(got, "tolerance") {
		t.Errorf("it says %q", got)
	}
	b[1].ToleranceMM = 0.01
	if got := textOf(BatchMap(b, MapOptions{Style: Light()}), 400, 400); strings.Contains(got, "tolerance") {
		t.Errorf("two tolerances, and one is drawn: %q", got)
	}
}

func TestBatchChartsCallOutWhatTheRulesDo(t *testing.T) {
	p := parts(20, model.Vec{})
	p[11].D.X += 0.02
	b := batch.Batch{Name: "b", Parts: p}
	control, err := batch.Charts(p)
	if err != nil {
		t.Fatal(err)
	}
	list := BatchCharts(b, control, MM, Light())
	if len(list) != 7 {
		t.Fatalf("%d charts, want 7", len(list))
	}
	called := map[string]bool{}
	bad := Light().Bad
	for _, c := range list {
		img := Render(c.Chart, 300, 200, 96)
		if img.Rect.Dx() != 300 {
			t.Errorf("%s: %v", c.Name, img.Rect)
		}
		for i := 0; i < len(img.Pix); i += 4 { // the ring round a part
			if p := img.Pix[i:]; p[0] == bad.R && p[1] == bad.G && p[2] == bad.B {
				called[c.Name] = true
			}
		}
	}
	for _, want := range []string{"run-X", "range-X", "plane"} {
		if !called[want] {
			t.Errorf("%s calls nothing out: %v", want, called)
		}
	}
	if called["run-Y"] {
		t.Error("Y is called out for a stray X")
	}
}

func TestPanelsShareOneScale(t *testing.T) {
	small, large := sample(model.Vec{X: 0.05}), sample(model.Vec{})
	small.Job.BoreMM = 4
	half := FacedHalf(small, large)
	if half != FacedHalf(large) || half <= FacedHalf(small) {
		t.Errorf("half %v; the larger alone %v, the smaller %v", half, FacedHalf(large), FacedHalf(small))
	}
	f := &PanelsFigure{Panels: []Panel{{Name: "before", Reading: small}, {Name: "after", Reading: large}}, Style: Light(), Rims: true}
	got := textOf(f, 500, 400)
	for _, w := range []string{"before", "after", "+X", "the photo is not at hand", "12"} {
		if !strings.Contains(got, w) {
			t.Errorf("it doesn't say %q: %s", w, got)
		}
	}
	if FacedHalf(&model.Reading{}) != 0 {
		t.Error("a reading without a hole has a size")
	}
}
