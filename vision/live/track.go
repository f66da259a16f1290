package live

import (
	"fmt"
	"math"

	"evenrim/model"
)

// tracker follows the rims from picture to picture.
type tracker struct {
	at    rims
	doubt [nRims]model.Sym2 // about the light, from the full trace
	// ratio is outer over bore radius at the full trace: rims that grow apart have
	// taken hold of something else.
	ratio float64
	vx,
	vy float64 // px a picture, from the last two
	seen patch // of the last picture that was read

}

const (
	// firstReach is how far an edge may have moved off its predicted place, px.
	firstReach = 11.0
	lastReach  = 6.0
	// leastBore and leastOuter are the shares of a rim that must be found.
	leastBore, leastOuter, leastExit = 0.45, 0.35, 0.3
	// mostRMS of the points about their curve, px: an edge follows a circle.
	mostRMS  = 2.0
	apart    = 0.035 // largest believable change of the rims' ratio
	patchPad = 1.25  // half side of the patch in outer radii
	leastR   = 12.0  // px; a smaller hole is not followed
)

// newTracker starts from a full trace of f. ok is false where the trace has too
// few points for curves.
func newTracker(f *frame, t model.Trace) (*tracker, bool) {
	k := &tracker{}
	for i, pts := range [nRims][]model.EdgePoint{t.Outer, t.Bore, t.Exit} {
		if i == exit && len(pts) < 12 {
			continue
		}
		v := make([]model.Vec, len(pts))
		for j, p := range pts {
			v[j] = model.Vec{X: p.X, Y: p.Y}
		}
		c, err := model.FitCircle(v)
		if err != nil {
			return nil, false
		}
		k.at.curve[i] = curve{x: c.X, y: c.Y, r: c.R}
		for range 2 {
			k.at.curve[i].follow(pts, i != exit)
		}
		k.at.hasExit = k.at.hasExit || i == exit
	}
	if k.at.curve[bore].r < leastR {
		return nil, false
	}
	k.at.blur = math.Min(math.Max(t.BlurPx, 0.6), 6)
	k.doubt = t.Doubt
	k.ratio = k.at.curve[outer].r / k.at.curve[bore].r
	k.remember(f)
	return k, true
}

// remember keeps what the hole looks like now.
func (k *tracker) remember(f *frame) {
	o := k.at.curve[outer]
	r := o.r * patchPad
	k.seen = cut(f, o.x, o.y, r, max(1, int(2*r/patchSamples)))
}

// shift moves all curves.
func (r *rims) shift(dx, dy float64) {
	for k := range r.curve {
		r.curve[k].x += dx
		r.curve[k].y += dy
	}
}

// errLost says why the rims could not be followed.
type errLost struct{ why string }

func (e errLost) Error() string { return "vision/live: the hole is lost: " + e.why }

// follow finds the rims in f and returns them as a trace. First where the last
// movement leads, then where the picture as a whole has moved to.
func (k *tracker) follow(f *frame) (model.Trace, error) {
	was := k.at
	k.at.shift(k.vx, k.vy)
	t, err := k.read(f)
	if err != nil {
		k.at = was
		dx, dy, ok := shiftOf(k.seen, f)
		if !ok {
			k.vx, k.vy = 0, 0
			return t, errLost{"nothing looks like it"}
		}
		// The patch may be older than the curves.
		k.at.shift(k.seen.x+dx-was.curve[outer].x, k.seen.y+dy-was.curve[outer].y)
		if t, err = k.read(f); err != nil {
			k.at, k.vx, k.vy = was, 0, 0
			return t, err
		}
	}
	k.vx, k.vy = k.at.curve[bore].x-was.curve[bore].x, k.at.curve[bore].y-was.curve[bore].y
	if f.seq%8 == 0 || math.Hypot(k.seen.x-k.at.curve[outer].x, k.seen.y-k.at.curve[outer].y) > 0.4*k.at.curve[bore].r {
		k.remember(f)
	}
	return t, nil
}

// read takes the rims from near where they are thought to be.
func (k *tracker) read(f *frame) (model.Trace, error) {
	r := &k.at
	if !r.inside(f) {
		return model.Trace{}, errLost{"it has left the picture"}
	}
	// One move of all rims together, felt from afar; then each by itself.
	s := r.see(f, look{reach: firstReach, widen: 2.2})
	if !r.moveTogether(s) {
		return model.Trace{}, errLost{"too few edges"}
	}
	s = r.see(f, look{reach: lastReach + r.blur, widen: 1.4})
	for i := range r.present() {
		r.curve[i].follow(s.found[i], i != exit)
	}
	if !r.inside(f) {
		return model.Trace{}, errLost{"the rims came apart"}
	}
	s = r.see(f, look{reach: lastReach + r.blur, widen: 1})
	for i, least := range [...]float64{leastOuter, leastBore} {
		if s.share(i) < least || len(s.found[i]) < 16 {
			return model.Trace{}, errLost{fmt.Sprintf("rim %d on %.0f %% of the rays", i, 100*s.share(i))}
		}
		rms, ok := r.curve[i].follow(s.found[i], true)
		if !ok || rms > mostRMS {
			return model.Trace{}, errLost{fmt.Sprintf("rim %d scatters by %.1f px", i, rms)}
		}
	}
	if q := r.curve[outer].r / r.curve[bore].r; math.Abs(q/k.ratio-1) > apart {
		return model.Trace{}, errLost{fmt.Sprintf("the rims' ratio went from %.3f to %.3f", k.ratio, q)}
	}
	k.settleBlur(s)
	t := model.Trace{WidthPx: f.w, HeightPx: f.h, Outer: s.found[outer], Bore: s.found[bore], BlurPx: r.blur, Doubt: k.doubt}
	if r.hasExit && s.share(exit) >= leastExit {
		if rms, ok := r.curve[exit].follow(s.found[exit], false); ok && rms < 2*mostRMS {
			t.Exit = s.found[exit]
		}
	}
	return t, nil
}

// settleBlur lets the common blur go where the edges want it, over some pictures.
func (k *tracker) settleBlur(s *sight) {
	b := k.at.blur + math.Max(math.Min(0.5*s.blurStep, 0.3*k.at.blur), -0.3*k.at.blur)
	k.at.blur = math.Min(math.Max(b, 0.5), 8)
}

// inside says whether the bore is a hole in the picture at all.
func (r *rims) inside(f *frame) bool {
	b := r.curve[bore]
	return b.r > leastR && b.r < float64(max(f.w, f.h)) && b.x > 0 && b.y > 0 && b.x < float64(f.w) && b.y < float64(f.h)
}

// moveTogether moves all rims by the one shift and change of size that their
// points together ask for.
func (r *rims) moveTogether(s *sight) bool {
	// As one circle about the bore's centre: each point's distance off its own
	// curve, at its own direction.
	type row struct {
		d    [3]float64
		y, w float64
	}
	var rows []row
	for k := range r.present() {
		c := &r.curve[k]
		for _, p := range s.found[k] {
			nx, ny := p.X-c.x, p.Y-c.y
			l := math.Hypot(nx, ny)
			rows = append(rows, row{[3]float64{nx / l, ny / l, c.r / r.curve[bore].r}, c.off(p.X, p.Y), 1 / (p.SigmaPx*p.SigmaPx + 0.25)})
		}
	}
	if len(rows) < 24 {
		return false
	}
	var x [5]float64
	res := make([]float64, len(rows))
	w := make([]float64, len(rows))
	for i := range rows {
		w[i] = rows[i].w
	}
	for range 5 {
		var m system
		for i := range rows {
			m.add(rows[i].d[:], rows[i].y, w[i])
		}
		var ok bool
		if x, ok = m.solve(3); !ok {
			return false
		}
		for i := range rows {
			d := rows[i].d
			res[i] = rows[i].y - x[0]*d[0] - x[1]*d[1] - x[2]*d[2]
		}
		scale := math.Max(1.4826*medianAbs(res), 0.4)
		for i := range rows {
			t := res[i] / (4.685 * scale)
			w[i] = 0
			if t > -1 && t < 1 {
				w[i] = rows[i].w * (1 - t*t) * (1 - t*t)
			}
		}
	}
	for k := range r.curve {
		c := &r.curve[k]
		grow := x[2] * c.r / r.curve[bore].r
		c.x, c.y, c.r = c.x+x[0], c.y+x[1], c.r+grow
	}
	return true
}
