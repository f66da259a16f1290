package vision

import (
	"cmp"
	"context"
	"math"
	"slices"

	"evenrim/model"
)

// Trace finds the hole in p and traces its rims to sub-pixel. job has its
// defaults filled in. progress, which may be nil, is told the share done and what
// is being done. The error is a *model.Refusal where the photo carries no
// reading, or ctx's.
func Trace(ctx context.Context, p *Photo, job model.JobCard, progress func(float64, string)) (model.Trace, error) {
	say := func(f float64, what string) error {
		if progress != nil {
			progress(f, what)
		}
		return ctx.Err()
	}
	if err := say(0.1, "looking for the hole"); err != nil {
		return model.Trace{}, err
	}
	guesses := findHoles(p)
	if len(guesses) == 0 {
		return model.Trace{}, model.Refuse(model.NoHole, "No round hole was found: show the whole hole, in focus, as large as it fits in the photo.")
	}
	if err := say(0.3, "telling the rims apart"); err != nil {
		return model.Trace{}, err
	}
	h, ok := locate(p, guesses[0].circle, job)
	if !ok {
		return model.Trace{}, model.Refuse(model.NoHole, "No round hole with a chamfer was found: show the whole hole, in focus, as large as it fits in the photo.")
	}
	if err := say(0.6, "tracing the rims"); err != nil {
		return model.Trace{}, err
	}
	return refine(p, h)
}

// refine traces the rims from circles near them.
func refine(p *Photo, h hole) (model.Trace, error) {
	r := &rims{hasExit: h.hasExit}
	for k := range nRims {
		r.blur[k] = 1.4
	}
	r.curve[outer].Circle, r.curve[bore].Circle, r.curve[exit].Circle = h.outer, h.bore, h.exit
	n := int(math.Min(math.Max(2*math.Pi*h.bore.R/5, 96), 240))
	const passes = 4
	var t model.Trace
	for pass := range passes {
		reach := math.Max(7, 5*slices.Max(r.blur[:]))
		limit := 4.0
		if pass > 0 {
			limit = 2.5
		}
		g := collect(p, r, n, reach)
		fits := g.fitArcs(r, reach, limit, [...]question{askNothing, askBlur, askGlint, askNothing}[pass])
		if pass == passes-1 {
			t = model.Trace{WidthPx: p.W, HeightPx: p.H, BlurPx: r.blur[bore],
				Outer: g.points(r, fits, outer), Bore: g.points(r, fits, bore)}
			if r.hasExit {
				t.Exit = g.points(r, fits, exit)
			}
			break
		}
		for k := range nRims {
			if k == exit && !r.hasExit {
				continue
			}
			switch pass {
			case 1:
				r.blur[k] = rimBlur(fits, k, r.blur[k])
				fallthrough
			case 0:
				r.curve[k].follow(g.points(r, fits, k), pass > 0)
			case 2:
				r.glint[k] = g.rimGlint(fits, k)
				r.shining[k] = shiningArcs(fits, k)
			}
		}
	}
	return t, nil
}

// rimBlur is the weighted median of the arcs' blurs.
func rimBlur(fits []arcFit, k int, before float64) float64 {
	var v, w []float64
	for _, f := range fits {
		if e := f.edge[k]; f.found[k] && e.blurSD > 0 && !e.saturated {
			v = append(v, e.blur)
			w = append(w, 1/sq(e.blurSD))
		}
	}
	if len(v) < 12 {
		return before
	}
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
	half, sum := 0.0, 0.0
	for _, x := range w {
		half += x / 2
	}
	for _, i := range order {
		if sum += w[i]; sum >= half {
			return math.Min(math.Max(v[i], 0.45), 8)
		}
	}
	return before
}
