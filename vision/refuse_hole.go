package vision

import (
	"errors"
	"fmt"
	"math"

	"evenrim/model"
)

// What a hole must show to be read. The limits lie between what several hundred
// sound photos and pictures without a hole, a chamfer or focus give.
const (
	// soundCover and soundExcess are what a round edge has and texture has not.
	soundCover, soundExcess = 0.48, 0.33
	// wholeRim allows for one direction lost to rounding at the picture's border.
	wholeRim = 0.98
	// darkRing is the encoded grey value that a twentieth of the ring must reach:
	// below, an 8-bit picture has too few steps; deeper files have more.
	darkRing, darkRingDeep = 20.0 / 255, 4.0 / 255
	// fullRing is the share of face and chamfer at full scale that is too much.
	fullRing = 0.5
	// blurShare is the blur, in radii, beyond which a photo is out of focus;
	// leastBlur and mostBlur bound it, px: the tracer's own limit is the upper.
	blurShare, leastBlur, mostBlur = 0.012, 5.0, 8.0
	// meltedWidth is the chamfer's width in blurs below which its edges are one.
	meltedWidth = 1.5
	// alike is the share of the plainest hole's excess that makes another its equal,
	// alikeSize the largest ratio of their radii.
	alike, alikeSize = 0.8, 1.6
	// plainRim is the gain from which a rim is an edge and no shade. Where neither is, up to
	// faintTries other guesses are read, and one is taken whose rims both gain so many times more.
	plainRim, muchPlainer, faintTries = 6.0, 2.0, 2
)

// Sentences of the refusals: what is wrong, then what to do.
const (
	sayNoHole    = "No round hole was found: show the whole hole, in focus, as large as it fits in the photo."
	sayCutOff    = "Part of the hole lies outside the photo: move the camera or the part until the whole chamfer is in sight, with some face round it."
	sayDark      = "The hole is too dark to measure: give more light or a longer exposure, so that the face looks mid-grey."
	sayBright    = "The face round the hole is burnt out to white: give less light or a shorter exposure, so that the face looks mid-grey."
	sayBlurred   = "The photo is out of focus or shaken (blur of %.0f px at the rim): focus on the face, hold the camera still, and take it again."
	sayMelted    = "The chamfer is only %.0f px wide and its two edges melt together: come closer or focus better, so that it is at least 5 px wide."
	sayNoChamfer = "A round edge was found, but no chamfer with an outer edge and a bore edge: check that this hole has its chamfer, and turn the light until both edges can be seen."
	sayAmbiguous = "Several holes look alike: click the one to measure, or take the photo with one hole in the middle."
)

// findRims finds the hole to measure and its rims as circles, or returns a
// *model.Refusal that says why there is none.
func findRims(p *Photo, job model.JobCard) (hole, error) {
	guesses := findHoles(p)
	if len(guesses) == 0 || guesses[0].unlikely() {
		return hole{}, refuseNoHole(p, guesses)
	}
	h, ok := locatePlain(p, guesses, job)
	if !ok {
		return hole{}, refuseNoHole(p, guesses)
	}
	err := checkHole(p, h)
	if err != nil {
		var r *model.Refusal
		if !errors.As(err, &r) || r.Reason != model.NoChamfer {
			return hole{}, err
		}
		// A plain hole beside the chamfered one may be the rounder of the two.
		if h, ok = chamferedBeside(p, guesses[1:], h, job); !ok {
			return hole{}, err
		}
	}
	places := []model.Circle{h.outer}
	for _, g := range guesses[1:] {
		if g.excess < alike*guesses[0].excess {
			break
		}
		other, ok := locate(p, g.circle, job)
		if ok && checkHole(p, other) == nil && apart(other.outer, places) && sameSize(other.outer, h.outer) {
			places = append(places, other.outer)
		}
	}
	if len(places) > 1 {
		r := model.Refuse(model.Ambiguous, sayAmbiguous)
		model.InReadingOrder(places)
		r.Candidates = places
		return hole{}, r
	}
	return h, nil
}

// chamferedBeside returns the first of the guesses that is a hole of its own, apart from the
// plain one, whose outer and bore edge are both plain.
func chamferedBeside(p *Photo, guesses []holeGuess, plain hole, job model.JobCard) (hole, bool) {
	for _, g := range guesses {
		if g.unlikely() {
			break
		}
		h, ok := locate(p, g.circle, job)
		if ok && checkHole(p, h) == nil && h.seen.fainter() >= plainRim && apart(h.outer, []model.Circle{plain.bore}) {
			return h, true
		}
	}
	return hole{}, false
}

// locatePlain reads the first guess as the rims of a hole. Where neither of them is plain it may
// be a circle of shade in the bore, the first one for being round without marks about it, and where
// there are none, the edge of a pool of light: then the next guesses at the same place are read
// as well, and the first one that is much plainer is taken.
func locatePlain(p *Photo, guesses []holeGuess, job model.JobCard) (h hole, ok bool) {
	var place model.Circle
	for _, g := range guesses[:min(1+faintTries, len(guesses))] {
		if g.unlikely() || ok && apart(g.circle, []model.Circle{place}) {
			continue
		}
		other, rims := locate(p, g.circle, job)
		switch {
		case !rims:
		case !ok:
			if h, ok, place = other, true, g.circle; h.seen.plainer() >= plainRim {
				return h, true
			}
		case other.seen.fainter() > muchPlainer*h.seen.plainer():
			return other, true
		}
	}
	return h, ok
}

// plainer and fainter are the gains of the plainer and the fainter one of outer and bore edge.
func (e *evidence) plainer() float64 { return math.Max(e.outer, e.bore) }
func (e *evidence) fainter() float64 { return math.Min(e.outer, e.bore) }

func (g holeGuess) unlikely() bool { return g.cover < soundCover || g.excess < soundExcess }

// apart says that c overlaps none of the places: rims of one hole do.
func apart(c model.Circle, places []model.Circle) bool {
	for _, q := range places {
		if math.Hypot(c.X-q.X, c.Y-q.Y) < math.Max(c.R, q.R) {
			return false
		}
	}
	return true
}

func sameSize(a, b model.Circle) bool { return math.Max(a.R, b.R) < alikeSize*math.Min(a.R, b.R) }

// checkHole refuses a located hole that shows too little to be measured.
func checkHole(p *Photo, h hole) error {
	seen := h.seen
	dark := darkRing
	if p.Gray16 != nil {
		dark = darkRingDeep
	}
	width := h.outer.R - h.bore.R
	focus := math.Min(math.Max(blurShare*h.outer.R, leastBlur), mostBlur)
	switch {
	case seen.lightest < dark:
		return model.Refuse(model.Underexposed, sayDark)
	case seen.saturated > fullRing:
		return model.Refuse(model.Overexposed, sayBright)
	case seen.whole < wholeRim:
		return model.Refuse(model.CutOff, sayCutOff)
	case seen.blur > focus:
		return model.Refuse(model.Blurred, fmt.Sprintf(sayBlurred, seen.blur))
	case seen.outerFaint() || seen.bore < seen.needed:
		return model.Refuse(model.NoChamfer, sayNoChamfer)
	case width < meltedWidth*seen.blur:
		return model.Refuse(model.Blurred, fmt.Sprintf(sayMelted, width))
	}
	return nil
}

// refuseNoHole says why no hole was found, as far as the picture tells.
func refuseNoHole(p *Photo, guesses []holeGuess) error {
	dark := darkRing
	if p.Gray16 != nil {
		dark = darkRingDeep
	}
	pl := p.reduce(max(1, (max(p.W, p.H)+searchSide-1)/searchSide))
	lightest, white := pl.exposure()
	switch {
	case lightest < dark:
		return model.Refuse(model.Underexposed, sayDark)
	case white > fullRing:
		return model.Refuse(model.Overexposed, sayBright)
	}
	for _, g := range guesses {
		if share := shareInside(g.circle, p); share < wholeRim && g.cover > cutCover*share && g.excess > cutExcess*share {
			return model.Refuse(model.CutOff, sayCutOff)
		}
	}
	return model.Refuse(model.NoHole, sayNoHole)
}

const (
	// cutCover and cutExcess are the cover and the excess that a circle's visible
	// share must have to count as the rest of a hole that is cut off.
	cutCover, cutExcess = 0.8, 0.55
)

// shareInside returns the share of a circle that lies in the photo.
func shareInside(c model.Circle, p *Photo) float64 {
	n := 0
	for i := range coverBins {
		s, co := math.Sincos(2 * math.Pi * float64(i) / coverBins)
		x, y := c.X+c.R*co, c.Y+c.R*s
		if x > 0 && y > 0 && x < float64(p.W-1) && y < float64(p.H-1) {
			n++
		}
	}
	return float64(n) / coverBins
}

// exposure returns the 95th hundredth of the plane's values and the share of
// those at full scale.
func (pl *plane) exposure() (lightest, white float64) {
	var count [256]int
	for _, v := range pl.pix {
		count[min(max(int(v*256), 0), 255)]++
	}
	rank := len(pl.pix) * 95 / 100
	for v, n := range count {
		if rank -= n; rank < 0 {
			lightest = float64(v) / 255
			break
		}
	}
	return lightest, float64(count[254]+count[255]) / math.Max(float64(len(pl.pix)), 1)
}
