package bench

import (
	"image"
	"math"

	"evenrim/ui/look"

	"git.sr.ht/~sbinet/gg"
)

// welcomePainter draws what a reading is: a ring with its chamfer off centre, and
// the same ring unrolled into a band with one slow wave.
func welcomePainter(w, h int, k float64, p look.Palette) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	dc := gg.NewContextForRGBA(img)
	const units = 420.0 // the drawing's own width
	s := float64(w) / units
	dc.Scale(s, s)
	cx, cy, bore, mean, off := 92.0, 95.0, 52.0, 20.0, 9.0

	// The ring: chamfer between outer edge (setup 2) and bore edge (setup 1).
	dc.DrawCircle(cx+off, cy, bore+mean)
	dc.SetColor(p.Wash2)
	dc.Fill()
	dc.DrawCircle(cx, cy, bore)
	dc.SetColor(p.Wash1)
	dc.Fill()
	dc.SetLineWidth(2)
	dc.DrawCircle(cx+off, cy, bore+mean)
	dc.SetColor(p.Setup2)
	dc.Stroke()
	dc.DrawCircle(cx, cy, bore)
	dc.SetColor(p.Setup1)
	dc.Stroke()
	dc.SetLineWidth(1.5)
	cross := func(x, y float64) {
		dc.DrawLine(x-5, y, x+5, y)
		dc.DrawLine(x, y-5, x, y+5)
		dc.Stroke()
	}
	cross(cx, cy)
	dc.SetColor(p.Setup2)
	cross(cx+off, cy)

	// Unrolled, clockwise from the top: the bore edge straight, the outer edge a wave.
	x0, x1, base := 212.0, 408.0, 128.0
	top := func(t float64) float64 { return base - 1.9*(mean+off*math.Sin(2*math.Pi*t)) }
	dc.MoveTo(x0, base)
	for i := 0; i <= 96; i++ {
		t := float64(i) / 96
		dc.LineTo(x0+(x1-x0)*t, top(t))
	}
	dc.LineTo(x1, base)
	dc.ClosePath()
	dc.SetColor(p.Wash2)
	dc.Fill()
	for i := 0; i <= 96; i++ {
		t := float64(i) / 96
		dc.LineTo(x0+(x1-x0)*t, top(t))
	}
	dc.SetLineWidth(2)
	dc.SetColor(p.Setup2)
	dc.Stroke()
	dc.DrawLine(x0, base, x1, base)
	dc.SetColor(p.Setup1)
	dc.Stroke()
	dc.SetLineWidth(1)
	dc.SetDash(4, 3)
	dc.DrawLine(x0, base-1.9*mean, x1, base-1.9*mean)
	dc.SetColor(p.Soft)
	dc.Stroke()
	return img
}
