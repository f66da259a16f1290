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
	return refine(p, h, job)
}
