package vision

import (
	"context"

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
	h, err := findRims(p, job)
	if err != nil {
		return model.Trace{}, err
	}
	if err := say(0.6, "tracing the rims"); err != nil {
		return model.Trace{}, err
	}
	return refine(p, h, job)
}
