package photo

import (
	"image/color"
	"math"

	"evenrim/model"

	"git.sr.ht/~sbinet/gg"
)

// Ring is a circle that a person set, or a place to choose.
type Ring struct {
	Circle model.Circle
	Colour color.NRGBA
	Words  string // at its centre, "" = none
	Dashed bool
	Bold   bool // under the pointer
}

// Band is an arc that was brushed out: between two radii about a centre.
type Band struct {
	Centre         model.Vec
	Inner, OuterPx float64 // radii, px
	Arc            model.Arc
}

// Edge is a straight edge of the part.
type Edge struct {
	From, To model.Vec
	Words    string
	Bold     bool
}

var brushInk = color.NRGBA{0xff, 0x6b, 0x5a, 0x66}

// drawHelp draws what a person set by hand.
func drawHelp(dc *gg.Context, o Overlay, v View, k float64) {
	for _, b := range o.Bands {
		x, y := v.ToDevice(b.Centre.X, b.Centre.Y)
		a0, a1 := -(b.Arc.CentreRad + b.Arc.WidthRad/2), -(b.Arc.CentreRad - b.Arc.WidthRad/2)
		dc.NewSubPath()
		dc.DrawArc(x+0.5, y+0.5, b.OuterPx*v.Scale, a0, a1)
		c, s := math.Cos(a1), math.Sin(a1)
		dc.LineTo(x+0.5+c*b.Inner*v.Scale, y+0.5+s*b.Inner*v.Scale)
		dc.DrawArc(x+0.5, y+0.5, b.Inner*v.Scale, a1, a0)
		dc.ClosePath()
		dc.SetColor(brushInk)
		dc.Fill()
	}
	for _, e := range o.Edges {
		ax, ay := v.ToDevice(e.From.X, e.From.Y)
		bx, by := v.ToDevice(e.To.X, e.To.Y)
		w := 1.4
		if e.Bold {
			w = 3
		}
		for _, pass := range []struct {
			c color.NRGBA
			w float64
		}{{shade, w + 2.4}, {axisInk, w}} {
			dc.SetColor(pass.c)
			dc.SetLineWidth(pass.w * k)
			stroke(dc, ax, ay, bx, by)
		}
		if e.Words != "" {
			tag(dc, e.Words, (ax+bx)/2, (ay+by)/2, 12*k, axisInk)
		}
	}
	for _, r := range o.Rings {
		x, y := v.ToDevice(r.Circle.X, r.Circle.Y)
		w := 1.6
		if r.Bold {
			w = 3.2
		}
		for _, pass := range []struct {
			c color.NRGBA
			w float64
		}{{shade, w + 2.2}, {r.Colour, w}} {
			dc.SetDash()
			if r.Dashed {
				dc.SetDash(7*k, 5*k)
			}
			dc.SetColor(pass.c)
			dc.SetLineWidth(pass.w * k)
			dc.DrawCircle(x+0.5, y+0.5, r.Circle.R*v.Scale)
			dc.Stroke()
		}
		dc.SetDash()
		if r.Words != "" {
			tag(dc, r.Words, x, y, 15*k, r.Colour)
		}
	}
}
