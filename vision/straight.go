package vision

import (
	"cmp"
	"context"
	"math"
	"slices"

	"evenrim/model"
)

// StraightEdge is a straight edge of the part as seen in a photo, px.
type StraightEdge struct {
	From, To model.Vec
	AngleRad float64 // on the screen, counter-clockwise from image-right, in (-pi/2, pi/2]
	URad     float64 // its standard uncertainty
}

const (
	straightSide = 500 // longer side of the picture that is searched, px
	straightBlur = 2.0
	// leastStraight is the least length of an edge, in shares of the shorter side.
	leastStraight = 0.3
	// leastContrast is how much brighter one side must be than the other, of full
	// scale. Tool marks are bright and dark in turn: wide bands beside them are not.
	leastContrast = 0.06
	mostStraight  = 6
)

// StraightEdges returns the straight edges of the part in the photo, the longest
// first: long steps between a brighter and a darker side. Most photos show only
// the face and have none. The error is ctx's.
func StraightEdges(ctx context.Context, p *Photo) ([]StraightEdge, error) {
	f := max(1, (max(p.W, p.H)+straightSide-1)/straightSide)
	pl := p.reduce(f).smooth(straightBlur)
	pixels := gradientPixels(pl)
	var out []StraightEdge
	for range 4 * mostStraight {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		angle, rho, ok := strongestLine(pl, pixels)
		if !ok || len(out) == mostStraight {
			break
		}
		run, rest := alongLine(pixels, angle, rho)
		pixels = rest
		if e, ok := pl.straight(run, angle); ok {
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b StraightEdge) int {
		return cmp.Compare(b.To.Sub(b.From).Norm(), a.To.Sub(a.From).Norm())
	})
	return out, nil
}

const lineAngles = 360 // directions of the normal, signed: dark to bright

// strongestLine is the fullest place of a vote over normal direction and distance.
func strongestLine(pl *plane, pixels []gradientPixel) (angle, rho float64, ok bool) {
	reach := int(math.Hypot(float64(pl.w), float64(pl.h))) + 2
	const pitch = 2
	rows := 2*reach/pitch + 2
	votes := make([]float32, lineAngles*rows)
	for _, p := range pixels {
		a := math.Atan2(float64(p.ny), float64(p.nx))
		k := int(math.Round(a/(2*math.Pi)*lineAngles)) + lineAngles
		for d := -3; d <= 3; d++ {
			i := (k + d) % lineAngles
			s, c := math.Sincos(2 * math.Pi * float64(i) / lineAngles)
			r := float64(p.x)*c + float64(p.y)*s
			votes[i*rows+int((r+float64(reach))/pitch)] += p.weight
		}
	}
	best, most := 0, float32(0)
	for i, v := range votes {
		if v > most {
			best, most = i, v
		}
	}
	if most < 8 {
		return 0, 0, false
	}
	return 2 * math.Pi * float64(best/rows) / lineAngles, (float64(best%rows)+0.5)*pitch - float64(reach), true
}

// alongLine splits the pixels into those of a line and the others.
func alongLine(pixels []gradientPixel, angle, rho float64) (run, rest []gradientPixel) {
	s, c := math.Sincos(angle)
	for _, p := range pixels {
		d := float64(p.x)*c + float64(p.y)*s - rho
		if math.Abs(d) <= 3 && float64(p.nx)*c+float64(p.ny)*s > 0.96 {
			run = append(run, p)
		} else {
			rest = append(rest, p)
		}
	}
	return run, rest
}

// straight makes an edge of the pixels of a line, if its longest stretch without a
// gap is long enough and one side of it is brighter all along.
func (pl *plane) straight(run []gradientPixel, angle float64) (StraightEdge, bool) {
	s, c := math.Sincos(angle)
	along := func(p gradientPixel) float64 { return -float64(p.x)*s + float64(p.y)*c }
	slices.SortFunc(run, func(a, b gradientPixel) int { return cmp.Compare(along(a), along(b)) })
	run = longestRun(run, along, 7)
	if len(run) < 10 {
		return StraightEdge{}, false
	}
	length := along(run[len(run)-1]) - along(run[0])
	if length < leastStraight*float64(min(pl.w, pl.h)) || float64(len(run)) < 0.6*length {
		return StraightEdge{}, false
	}
	// Total least squares: the line through the mean along the main axis.
	var m model.Vec
	for _, p := range run {
		m = m.Add(model.Vec{X: float64(p.x), Y: float64(p.y)}.Scale(1 / float64(len(run))))
	}
	var q model.Sym2
	for _, p := range run {
		q = q.Add(model.Vec{X: float64(p.x) - m.X, Y: float64(p.y) - m.Y}.Outer())
	}
	major, minor, dir := q.Eigen()
	if minor/float64(len(run)) > 1 || !pl.stepAlong(m, dir, length) {
		return StraightEdge{}, false // crooked, or no step
	}
	u := model.Polar(length/2, dir)
	at := func(v model.Vec) model.Vec { return model.Vec{X: pl.toPhoto(v.X), Y: pl.toPhoto(v.Y)} }
	e := StraightEdge{From: at(m.Sub(u)), To: at(m.Add(u)), AngleRad: math.Remainder(-dir, math.Pi)}
	// Positions are whole pixels: at least their rounding counts.
	e.URad = math.Sqrt(math.Max(minor/float64(len(run)), 1.0/12) / major)
	return e, true
}

// longestRun is the longest stretch of sorted pixels without a gap.
func longestRun(run []gradientPixel, along func(gradientPixel) float64, gap float64) []gradientPixel {
	best, from := run[:0], 0
	for i := 1; i <= len(run); i++ {
		if i == len(run) || along(run[i])-along(run[i-1]) > gap {
			if i-from > len(best) {
				best = run[from:i]
			}
			from = i
		}
	}
	return best
}

// stepAlong says that one side of a line is brighter than the other nearly all
// along, in bands wide enough to hold several tool marks.
func (pl *plane) stepAlong(m model.Vec, dir, length float64) bool {
	s, c := math.Sincos(dir)
	grey := func(along, across float64) (float64, bool) {
		x, y := int(m.X+along*c-across*s+0.5), int(m.Y+along*s+across*c+0.5)
		if x < 0 || y < 0 || x >= pl.w || y >= pl.h {
			return 0, false
		}
		return float64(pl.pix[y*pl.w+x]), true
	}
	const near, far, pieces = 4, 18, 12
	var same, sign int
	for k := range pieces {
		var sum [2]float64
		var n [2]int
		for i := 0.0; i < length/pieces; i += 2 {
			a := -length/2 + length*float64(k)/pieces + i
			for d := near; d <= far; d += 2 {
				for side, v := range [2]float64{float64(d), -float64(d)} {
					if g, ok := grey(a, v); ok {
						sum[side] += g
						n[side]++
					}
				}
			}
		}
		if n[0] == 0 || n[1] == 0 {
			continue
		}
		step := sum[0]/float64(n[0]) - sum[1]/float64(n[1])
		if math.Abs(step) < leastContrast {
			continue
		}
		same++
		if step > 0 {
			sign++
		}
	}
	return same >= pieces*9/10 && (sign == same || sign == 0)
}
