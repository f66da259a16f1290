// Package uitest has stand-ins for the window's surroundings: a reader that draws
// its photos from exact geometry instead of decoding files, and a record in
// memory. Only tests import it.
package uitest

import (
	"image"
	"math"

	"evenrim/model"
)

// Scene is a hole as the fake reader photographs it. Its numbers are ours,
// chosen for a clear picture.
type Scene struct {
	W, H   int
	Solid  model.Solid
	Camera model.Camera
	Sigma  float64 // noise of the traced points, px
}

// Bracket is the scene of most tests: a 10 mm hole with a 0.4 mm chamfer, setup 2
// landed at (+0.040, -0.015) mm.
func Bracket() Scene {
	return Scene{
		W: 800, H: 600,
		Solid:  model.Solid{RadiusMM: 5, WidthMM: 0.4, ThicknessMM: 8, HalfAngle: math.Pi / 4, Mismatch: model.Vec{X: 0.040, Y: -0.015}},
		Camera: model.Camera{CX: 399.5, CY: 299.5, U0: 390, V0: 310, PxPerMM: 42, InvDistPerMM: 1.0 / 140, SlopeX: 0.02, SlopeY: -0.01},
		Sigma:  0.05,
	}
}

// Card is the job card that fits the scene.
func (s Scene) Card() model.JobCard {
	return model.JobCard{BoreMM: 2 * s.Solid.RadiusMM, ChamferMM: s.Solid.WidthMM, HalfAngle: s.Solid.HalfAngle,
		ThicknessMM: s.Solid.ThicknessMM, PlusX: s.Camera.PlusX}.WithDefaults()
}

// Trace returns the scene's rims as a tracer would, with a fixed pattern of noise.
func (s Scene) Trace() model.Trace {
	t := model.Trace{WidthPx: s.W, HeightPx: s.H, BlurPx: 1}
	proj := s.Camera.Projector()
	seed := uint32(1)
	noise := func() float64 { // sum of four uniform numbers, sd 1
		var x float64
		for range 4 {
			seed = seed*1664525 + 1013904223
			x += float64(seed>>8)/(1<<24) - 0.5
		}
		return x * math.Sqrt(3)
	}
	add := func(to *[]model.EdgePoint, q model.Vec, z float64) {
		u := q.Scale(1 / q.Norm())
		q = q.Add(u.Scale(s.Sigma * noise() / s.Camera.PxPerMM))
		x, y := proj.ToPhoto(q.X, q.Y, z)
		*to = append(*to, model.EdgePoint{X: x, Y: y, SigmaPx: s.Sigma})
	}
	const n = 360
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		if p, ok := s.Solid.OuterEdge(a); ok {
			add(&t.Outer, p, 0)
		}
		d, _ := s.Solid.ChamferDepth(a)
		add(&t.Bore, model.Polar(s.Solid.RadiusMM, a), -d)
		add(&t.Exit, model.Polar(s.Solid.RadiusMM, a), -s.Solid.ThicknessMM)
	}
	return t
}

// Photo draws the scene: face light, chamfer middling, bore dark.
func (s Scene) Photo() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, s.W, s.H))
	proj := s.Camera.Projector()
	for y := range s.H {
		for x := range s.W {
			p := proj.ToPlane(float64(x), float64(y), 0)
			// Soft steps of about a pixel, brushed face.
			soft := func(mm float64) float64 { return 1 / (1 + math.Exp(-mm*s.Camera.PxPerMM*2)) }
			face := 150 + 14*math.Sin(p.X*9+0.7*math.Sin(p.Y*2))
			v := face + (95-face)*soft(s.Solid.RadiusMM+s.Solid.WidthMM-p.Sub(s.Solid.Mismatch).Norm())
			v += (28 - v) * soft(s.Solid.RadiusMM-p.Norm())
			i := y*img.Stride + 4*x
			img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = uint8(v), uint8(v), uint8(v*0.98), 0xff
		}
	}
	return img
}
