package chart

import (
	"image/png"
	"os"
	"testing"

	"evenrim/model"
	"evenrim/model/plan"
)

// Every figure of the planner puts ink on paper of any light and size, and the
// same again for the same plan.
func TestPlanFiguresDraw(t *testing.T) {
	flip := plan.Usual()
	flip.Features = []plan.Feature{{Name: "A", At: model.Vec{X: 10, Y: -10}}, {Name: "B", At: model.Vec{X: 70, Y: -40}}}
	look, err := flip.Look(2000, 1)
	if err != nil {
		t.Fatal(err)
	}
	sight, err := (plan.See{Eye: plan.UntestedEye, Camera: plan.Cameras[0], Light: plan.EvenLight, ToleranceMM: 0.0254, BoreMM: 10}).Look()
	if err != nil {
		t.Fatal(err)
	}
	found, err := (plan.PickUp{
		A: plan.Face{Side: plan.Rear, AtMM: 40, Touches: []model.Vec{{X: 5, Y: 42}, {X: 55, Y: 42.01}}},
		B: plan.Face{Side: plan.Left, AtMM: 0, Touches: []model.Vec{{X: -2, Y: 20}}}, StylusMM: 4, ProbeSDMM: 0.003,
		Feature: model.Vec{X: 40, Y: 10}, Check: plan.Right, CheckAtMM: 60, CheckAlongMM: 20}).Find()
	if err != nil {
		t.Fatal(err)
	}
	photo := plan.PhotoPlan{Photo: plan.Photo{Camera: plan.Cameras[0], BoreMM: 10, ChamferMM: 0.3, ThicknessMM: 12}, DistanceMM: 150, PxPerMM: 30, FillShare: 0.1, Need: plan.NeedPaper}
	for name, make := range map[string]func(Style) Figure{
		"map":     func(s Style) Figure { return FlipMap(look, MM, s) },
		"sources": func(s Style) Figure { return &SourcesFigure{Outlook: look, Unit: Inch, Style: s} },
		"sight":   func(s Style) Figure { return SightChart(sight, MM, s) },
		"frame":   func(s Style) Figure { return &FrameFigure{Plan: photo, Style: s} },
		"pickup":  func(s Style) Figure { return &PickUpFigure{Found: found, Style: s} },
	} {
		for _, s := range []Style{Light(), Dark(), Print(), Light().Scaled(2)} {
			for _, size := range [][2]int{{420, 300}, {90, 40}, {2, 2}} {
				img := Render(make(s), size[0], size[1], 96)
				if size[0] < 400 {
					continue
				}
				ink := 0
				for i := 0; i < len(img.Pix); i += 4 {
					if img.Pix[i] != s.Raised.R {
						ink++
					}
				}
				if ink < 500 {
					t.Errorf("%s, %s: only %d points of ink", name, s.Name, ink)
				}
				if again := Render(make(s), size[0], size[1], 96); string(again.Pix) != string(img.Pix) {
					t.Errorf("%s, %s: drawn differently the second time", name, s.Name)
				}
				if dir := os.Getenv("EVENRIM_PICTURES"); dir != "" {
					f, err := os.Create(dir + "/plan-" + name + "-" + s.Name + ".png")
					if err != nil {
						t.Fatal(err)
					}
					png.Encode(f, img)
					f.Close()
				}
			}
		}
	}
}
