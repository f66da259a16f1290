package vision

import (
	"math"
	"slices"
)

// The wall's light fades down the bore, and where the wall begins as light as the chamfer
// there is no step at the bore edge, only a bend. A step between even regions, or between
// an even chamfer and a wall that darkens along a straight line, is then found some px down
// the wall: that is a circle at a depth, shifted along the slant of the view, and passes for
// a mismatch. Of 663 drawn photos read more than 0.3 px off it was the bore edge alone in 273,
// and with the exit rim in 164 more.

// fades are the depths, as shares of the wall's breadth in view, at which a wall's light may
// have fallen to 1/e. In a bore as deep as wide daylight does so at half the depth
// (configuration factor of a cylinder's wall to its mouth, from memory); light from a side,
// or a deeper bore, sooner.
var fades = [...]float64{0.6, 0.3, 0.15}

// lifts are by how much of the wall's breadth the bore edge may lie further up than where it
// was found.
var lifts = [...]float64{0.08, 0.16, 0.24}

const (
	// usualBreadth is the wall's breadth in view where its end isn't seen, px.
	usualBreadth = 20.0
	// farthestLift is as far as a fit may begin from the curve, px: the pixels about the
	// curve reach little further.
	farthestLift = 6.0
	// fadeGain is the log-likelihood that a fading wall must gain over an even one,
	// every blur's patch of pixels counted once: at 2 the sparkle of path-traced walls passes
	// for fades (2 of 40 readings 2 and 4 px worse), from 10 on no reading is worse by 0.1 px.
	// fadeHint is the gain that makes it worth looking further up.
	fadeGain, fadeHint = 15.0, 5.0
	// mostSaid is the most that one arc may say for or against a fade.
	mostSaid = 3.0
)

// fadeInto tells the model of an arc how the wall fades in it, the rims being at these
// distances from the bore's centre.
func (r *rims) fadeInto(m *edgeModel, rho *[nRims]float64) {
	breadth := usualBreadth
	if r.hasExit {
		breadth = math.Max(rho[bore]-rho[exit], 1)
	}
	if r.fade > 0 {
		// Within a blur a fade is a step.
		m.fade = math.Max(r.fade*breadth, r.blur[bore])
	}
	if r.lift > 0 {
		m.lift, m.limit = math.Min(r.lift*breadth, farthestLift), farthestLift
	}
}

// findFade finds out whether the wall's light fades, and how, and moves the bore edge up the
// wall where that explains the picture better. From there it may be better still. It says
// whether the wall fades.
func (r *rims) findFade(p *Photo, n int) bool {
	const mostMoves = 2
	for range mostMoves {
		if !r.fadeOnce(p, n) {
			break
		}
	}
	return r.fade > 0
}

// fadeOnce compares fades and lifts, takes the best if it is better than what is, and says
// whether the bore edge was moved up the wall.
func (r *rims) fadeOnce(p *Photo, n int) (lifted bool) {
	was := r.fade
	told := r.fadesTold()
	if len(told) == 0 {
		return false
	}
	now := r.wallFits(p, n, was, 0)
	best := struct {
		gain, fade float64
		lifted     bool
		fits       []arcFit
	}{fade: was}
	judge := func(fade, lift float64) float64 {
		fits := r.wallFits(p, n, fade, lift)
		gain := r.gainOf(fits, now)
		if gain > best.gain {
			best.gain, best.fade, best.lifted, best.fits = gain, fade, lift > 0, fits
		}
		return gain
	}
	if was > 0 {
		judge(0, 0)
	}
	for _, f := range told {
		if f == was {
			continue
		}
		if gain := judge(f, 0); gain < -fadeGain {
			break // steeper ones gained no more: 1,200 drawn photos read as well without them
		}
	}
	if best.gain < fadeHint {
		return false
	}
	for _, f := range told {
		for _, l := range lifts {
			judge(f, l)
		}
	}
	if best.gain < fadeGain {
		return false
	}
	r.fade = best.fade
	if best.lifted {
		r.curve[bore].follow(r.blocksAt(p, n, 1, false).points(r, best.fits, bore), true)
	}
	r.calm(p, n)
	return best.lifted
}

// fadesTold are the fades that can be told from a straight line: over many times the reach
// of a fit a fade is one, and so is all that shows where the fit sees but a tenth of the
// wall, as in a large photo.
func (r *rims) fadesTold() []float64 {
	const most, mostBreadth = 3.0, 10.0 // reaches
	breadth := usualBreadth
	if r.hasExit {
		breadth = r.curve[bore].R - r.curve[exit].R
	}
	if breadth > mostBreadth*r.reach() {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(fades[:]), func(f float64) bool { return f*breadth > most*r.reach() })
}

// wallFits fits a third of the arcs with this fade, from this far up the wall; a sixth in a
// large photo, where looking closer costs more than it tells.
func (r *rims) wallFits(p *Photo, n int, fade, lift float64) []arcFit {
	const limit = 5 // px; as far as a curve that came to rest may be off
	stride := fewArcs
	if 2*math.Pi*r.curve[bore].R > 2*glance*float64(n) {
		stride *= 2
	}
	was := r.fade
	r.fade, r.lift = fade, lift
	_, fits := r.arcs(p, n, stride, limit, askWall)
	r.fade, r.lift = was, 0
	return fits
}

// gainOf is by how much likelier the fits make the picture than those of before, as a
// log-likelihood: a blur makes neighbours agree, so that of all pixels one in 4 pi blur²
// counts.
func (r *rims) gainOf(fits, before []arcFit) float64 {
	each := 1 / (2 * 4 * math.Pi * sq(r.blur[bore]))
	sum := 0.0
	for i := range fits {
		if fits[i].found[bore] && before[i].found[bore] {
			gain := each * (before[i].edge[bore].misfit - fits[i].edge[bore].misfit)
			sum += math.Max(math.Min(gain, mostSaid), -mostSaid)
		}
	}
	return sum
}
