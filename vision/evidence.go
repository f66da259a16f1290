package vision

import (
	"math"
	"slices"
)

// evidence is how plainly a hole's rims stand in the picture.
type evidence struct {
	// outer and bore are by how much of log-likelihood, on the mean of the
	// directions, a rim explains the ring better than none there.
	outer, bore float64
	needed      float64 // what either must reach: chance gives less
	overMarks   float64 // what the outer edge must reach not to be marks on the face; 0 where it is plain
	whole       float64 // share of the outer edge that lies in the picture
	lightest    float64 // encoded grey value that 5 % of the ring are above, 0 to 1
	saturated   float64 // share of face and chamfer at full scale
	blur        float64 // sd of the bore edge's blur, photo px; 0 where it can't be told
}

const (
	// besideRim is how far to both sides of a rim the regions are compared, px.
	besideRim = 16.0
	// Where there is no rim, the spare ridges of the rays fall beside the best guess
	// by chance, the more often the shorter the rays are. Plain discs and washers of
	// 60 to 250 px in noise stay below the sum of leastGain and chanceGain a sample.
	leastGain, chanceGain = 1.2, 170.0
)

// evidence measures how plainly the rims of g stand in the ring.
func (m *regionMap) evidence(g rimGuess, s *strip, x expectation) evidence {
	var at tally
	m.judge(&at, g, expectation{}, 1, wholeHole)
	e := evidence{needed: leastGain + chanceGain/float64(m.n)}
	for k := range sectors {
		b := at.bore[k]
		o := math.Max(at.outer[k], b)
		e.outer += m.gain(k, o, math.Min(o-b, besideRim), math.Min(float64(m.n)-o, besideRim))
		e.bore += m.gain(k, b, math.Min(b, besideRim), math.Min(o-b, besideRim))
		rho := m.rho0 + o
		if x, y := m.cx+rho*m.cos[k], m.cy+rho*m.sin[k]; x > 1 && y > 1 && x < s.w-2 && y < s.h-2 {
			e.whole++
		}
	}
	e.outer, e.bore, e.whole = e.outer/sectors, e.bore/sectors, e.whole/sectors
	if e.outer >= e.needed && e.outer < plainRim {
		e.overMarks = m.overMarks(g, x)
	}
	e.lightest, e.saturated = s.exposure(&at.bore)
	// A play of light on the wall is soft in a sharp photo too; a face in focus shows
	// at the outer edge or beside it.
	e.blur = s.blurAt(&at.bore, faintStep)
	if b := s.blurAt(&at.outer, plainStep); b > 0 && (b < e.blur || e.blur == 0) {
		e.blur = b
	}
	e.blur *= s.f
	return e
}

// outerFaint says that the outer edge is none: chance, or marks on the face.
func (e *evidence) outerFaint() bool {
	return e.outer < math.Max(e.needed, e.overMarks)
}

// exposure returns the 95th hundredth of the ring's encoded grey values and the
// share of those from the bore edge outwards that are at full scale.
func (s *strip) exposure(bore *[sectors]float64) (lightest, saturated float64) {
	var count [256]int
	all, full, outside := 0, 0, 0
	top := float32(shadowOf(encodedOf(fullScale)))
	for ray := range ringRays {
		from := int(bore[ray/raysInSector])
		for k, v := range s.fine[ray*s.n:][:s.n] {
			count[min(max(int(v*256), 0), 255)]++
			all++
			if k >= from {
				outside++
				if v >= top {
					full++
				}
			}
		}
	}
	rank := all * 95 / 100
	for v, n := range count {
		if rank -= n; rank < 0 {
			lightest = encodedOfShadow((float64(v) + 0.5) / 256)
			break
		}
	}
	return lightest, float64(full) / math.Max(float64(outside), 1)
}

// faintStep and plainStep are slopes on the scale of equal ratios, per px.
const faintStep, plainStep = 0.001, 0.012

// blurAt returns the sd of the blur at a rim, ring px: a blurred step's slope
// falls to exp(-1/2) of its greatest at one sd to both sides. Steps of less than
// the least slope don't count; 0 says that too few rays have one.
func (s *strip) blurAt(rim *[sectors]float64, least float64) float64 {
	const (
		near   = 0.10 // of the radius, to both sides of the bore edge
		fallen = 0.6065
	)
	var found []float64
	for ray := range ringRays {
		row := s.even[ray*s.n:][:s.n]
		at := rim[ray/raysInSector]
		reach := near * (s.rho0 + at)
		slope := func(k int) float64 { return math.Abs(float64(row[k+1]-row[k-1])) / 2 }
		lo, hi := max(int(at-reach), 1), min(int(at+reach), s.n-2)
		top, steepest := -1, 0.0
		for k := lo; k <= hi; k++ {
			if v := slope(k); v > steepest {
				top, steepest = k, v
			}
		}
		if top < 0 || steepest < least {
			continue
		}
		a, b := top, top
		for a > 1 && slope(a) > fallen*steepest {
			a--
		}
		for b < s.n-2 && slope(b) > fallen*steepest {
			b++
		}
		found = append(found, float64(b-a-1)/2)
	}
	if len(found) < ringRays/4 {
		return 0
	}
	slices.Sort(found)
	sd := found[len(found)/2]
	return math.Sqrt(math.Max(sd*sd-sparkleSD*sparkleSD, 0))
}

// gain is by how much of log-likelihood two regions that meet at sample a of
// sector s explain it better than one, together with the ridges there.
func (m *regionMap) gain(s int, a, inside, outside float64) float64 {
	const slack = 1.5
	edge := math.Max(m.edgeAt(s, a), math.Max(m.edgeAt(s, a-slack), m.edgeAt(s, a+slack)))
	if inside < 2 || outside < 2 {
		return 0 // the chamfer has vanished here
	}
	one := m.cost(s, a-inside, a+outside, sloping)
	two := m.cost(s, a-inside, a, sloping) + m.cost(s, a, a+outside, sloping)
	return math.Max(sampleShare*(one-two)/2, 0) + edgeGain*edge
}
