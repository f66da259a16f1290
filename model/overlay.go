package model

import (
	"fmt"
	"math"
)

// Paths are the rims as lines to draw: in pixels of the photo or of a strip.
// A rim that has a gap (a vanished chamfer) or that is cut by the strip's ends
// comes as several lines.
type Paths struct {
	Outer, Bore, Exit                   [][]Vec // as fitted
	OuterPoints, BorePoints, ExitPoints []Vec   // as traced
}

// rimSteps is a divisor of the circle fine enough that a rim of 1000 px radius
// departs from its chords by less than 0.1 px.
const rimSteps = 360

// PhotoPaths returns the rims in pixels of the upright photo. Without a camera
// it returns the traced points alone.
func PhotoPaths(r *Reading) Paths {
	p := Paths{
		OuterPoints: photoPositions(r.Trace.Outer), BorePoints: photoPositions(r.Trace.Bore),
		ExitPoints: photoPositions(r.Trace.Exit),
	}
	if r.Job.BoreMM <= 0 || !r.Camera.Placed() {
		return p
	}
	s, proj := r.Solid(), r.Camera.Projector()
	at := func(q Vec, z float64) Vec { u, v := proj.ToPhoto(q.X, q.Y, z); return Vec{u, v} }
	p.Bore = rimLines(func(a float64) (Vec, bool) {
		d, _ := s.ChamferDepth(a)
		return at(Polar(s.RadiusMM, a), -d), true
	})
	p.Outer = rimLines(func(a float64) (Vec, bool) {
		q, ok := s.OuterEdge(a)
		return at(q, 0), ok
	})
	// Of the exit rim only what the bore doesn't hide.
	seen := func(q Vec) bool {
		e := proj.ToPlane(q.X, q.Y, 0)
		for range 2 { // the depth hardly changes with the direction
			d, _ := s.ChamferDepth(e.Angle())
			e = proj.ToPlane(q.X, q.Y, -d)
		}
		return e.Norm() < s.RadiusMM
	}
	switch {
	case len(r.Trace.Exit) > 0 && s.ThicknessMM > 0:
		p.Exit = rimLines(func(a float64) (Vec, bool) {
			q := at(Polar(s.RadiusMM, a), -s.ThicknessMM)
			return q, seen(q)
		})
	case r.Exit != nil:
		p.Exit = rimLines(func(a float64) (Vec, bool) { q := r.Exit.at(a); return q, seen(q) })
	}
	return p
}

// at returns the ellipse's point at parameter a, px.
func (e RimShape) at(a float64) Vec {
	q := Vec{e.A * math.Cos(a), e.B * math.Sin(a)}.Rotate(e.AngleRad)
	return Vec{e.CX + q.X, e.CY - q.Y}
}

func photoPositions(e []EdgePoint) []Vec {
	out := make([]Vec, len(e))
	for i, p := range e {
		out[i] = Vec{p.X, p.Y}
	}
	return out
}

// rimLines walks once round and splits the rim where it isn't there. A whole
// rim ends on its first point.
func rimLines(at func(angleRad float64) (Vec, bool)) [][]Vec {
	// Start in a gap if there is one, so that no line is cut for nothing.
	start := 0
	for i := range rimSteps {
		if _, ok := at(2 * math.Pi * float64(i) / rimSteps); !ok {
			start = i
			break
		}
	}
	var lines [][]Vec
	var line []Vec
	for i := range rimSteps + 1 {
		p, ok := at(2 * math.Pi * float64(start+i) / rimSteps)
		if ok && p.IsFinite() {
			line = append(line, p)
			continue
		}
		if len(line) > 1 {
			lines = append(lines, line)
		}
		line = nil
	}
	if len(line) > 1 {
		lines = append(lines, line)
	}
	return lines
}

// Paths returns the rims in strip pixels; the exit rim isn't among them, it lies
// far below the strip.
func (s Strip) Paths() Paths {
	var p Paths
	angle := func(i int) float64 {
		// Clockwise from 12, so that lines run from left to right.
		return math.Pi/2 - s.plusX - 2*math.Pi*float64(i)/rimSteps
	}
	x := func(i int) float64 { return float64(i)/rimSteps*float64(s.WidthPx) - 0.5 }
	var bore, outer []Vec
	for i := range rimSteps + 1 {
		a := angle(i)
		bore = append(bore, Vec{x(i), s.ToStrip(a, 0).Y})
		if w := s.solid.WidthAt(a); w > 0 {
			outer = append(outer, Vec{x(i), s.ToStrip(a, w).Y})
			continue
		}
		if len(outer) > 1 {
			p.Outer = append(p.Outer, outer)
		}
		outer = nil
	}
	p.Bore = [][]Vec{bore}
	if len(outer) > 1 {
		p.Outer = append(p.Outer, outer)
	}
	for _, e := range s.trace.Outer {
		q := s.proj.ToPlane(e.X, e.Y, 0)
		p.OuterPoints = append(p.OuterPoints, s.ToStrip(q.Angle(), q.Norm()-s.solid.RadiusMM))
	}
	for _, e := range s.trace.Bore {
		q := s.proj.ToPlane(e.X, e.Y, 0)
		for range 2 { // the depth hardly changes with the direction
			d, _ := s.solid.ChamferDepth(q.Angle())
			q = s.proj.ToPlane(e.X, e.Y, -d)
		}
		p.BorePoints = append(p.BorePoints, s.ToStrip(q.Angle(), q.Norm()-s.solid.RadiusMM))
	}
	return p
}

// clockRad turns a direction on the screen (counter-clockwise from image-right)
// into the angle clockwise from the top, [0, 2 pi).
func clockRad(screenRad float64) float64 {
	c := math.Mod(math.Pi/2-screenRad, 2*math.Pi)
	if c < 0 {
		c += 2 * math.Pi
	}
	if c >= 2*math.Pi { // -tiny + 2 pi
		c = 0
	}
	return c
}

// Clock says a direction on the screen, counter-clockwise from image-right, the
// way a machinist does: to the half hour.
func Clock(screenRad float64) string {
	half := int(math.Round(clockRad(screenRad)/(2*math.Pi)*24)) % 24
	hour := half / 2
	if hour == 0 {
		hour = 12
	}
	if half%2 == 1 {
		return fmt.Sprintf("half past %d", hour)
	}
	return fmt.Sprintf("%d o'clock", hour)
}

// ClockAt says a direction in part axes as seen in r's photo.
func (r *Reading) ClockAt(angleRad float64) string { return Clock(r.PlusXInPhoto() + angleRad) }

// PlusXInPhoto is where +X points in the photo: as fitted if there was a fit, else as on
// the job card. Both are the same direction.
func (r *Reading) PlusXInPhoto() float64 {
	if r.Camera.Placed() {
		return r.Camera.PlusX
	}
	return r.Job.PlusX
}

// Extreme is where the chamfer is widest or narrowest.
type Extreme struct {
	AngleRad float64 // part axes
	WidthMM  float64 // negative where the chamfer has vanished
	// UMM is the width's standard uncertainty there: of the mean width and of the
	// mismatch along that direction, taken as independent.
	UMM   float64
	Clock string // the same direction in the photo, in words
}

// Widest and narrowest width lie along the mismatch, exactly: see
// Solid.WidthAt. Half their difference is the mismatch.
func (r *Reading) Widest() Extreme    { return r.extreme(r.Mismatch.Angle()) }
func (r *Reading) Narrowest() Extreme { return r.extreme(wrapPi(r.Mismatch.Angle() + math.Pi)) }

func (r *Reading) extreme(a float64) Extreme {
	s, c := math.Sincos(a)
	along := c*c*r.Cov.XX + 2*c*s*r.Cov.XY + s*s*r.Cov.YY
	return Extreme{AngleRad: a, WidthMM: r.Solid().WidthAt(a), UMM: math.Sqrt(sq(r.WidthUMM) + math.Max(along, 0)), Clock: r.ClockAt(a)}
}

// chiSquared95 is the 95 % point of chi-squared with two degrees of freedom,
// -2 ln 0.05.
const chiSquared95 = 5.991464547107979

// IsEven says that no mismatch can be told from none: zero lies inside the 95 %
// region. Widest and narrowest are then chance.
func (r *Reading) IsEven() bool { return r.Cov.Mahalanobis2(r.Mismatch) < chiSquared95 }
