package vision

import (
	"context"
	"math"

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
	r := &rims{hasExit: h.hasExit, blur: 1.4}
	r.curve[outer].Circle, r.curve[bore].Circle, r.curve[exit].Circle = h.outer, h.bore, h.exit
	n := int(math.Min(math.Max(2*math.Pi*h.bore.R/5, 96), 240))
	for pass := range 3 {
		reach := math.Max(7, 5*r.blur)
		limit := 4.0
		if pass > 0 {
			limit = 2.5
		}
		g := collect(p, r, n, reach)
		fits := g.fitArcs(r, reach, limit)
		if pass == 2 {
			t := model.Trace{WidthPx: p.W, HeightPx: p.H, BlurPx: r.blur,
				Outer: g.points(r, fits, outer), Bore: g.points(r, fits, bore)}
			if r.hasExit {
				t.Exit = g.points(r, fits, exit)
			}
			return t, nil
		}
		for k := range nRims {
			if k == exit && !r.hasExit {
				continue
			}
			r.curve[k].follow(g.points(r, fits, k), pass > 0)
		}
	}
	panic("unreachable")
}
