package vision

import (
	"context"

	"evenrim/model"
)

// TraceNear is Trace for a hole that a person pointed out: spot is a circle drawn
// roughly on its outer or bore edge, px. The rims are found and traced to the
// same sub-pixel as ever; only where to look is not searched for. The trace says
// that a person helped.
//
// Errors are those of Trace.
func TraceNear(ctx context.Context, p *Photo, job model.JobCard, spot model.Circle, progress func(float64, string)) (model.Trace, error) {
	say := func(f float64, what string) error {
		if progress != nil {
			progress(f, what)
		}
		return ctx.Err()
	}
	if !spotIn(p, spot) {
		return model.Trace{}, model.Refuse(model.CutOff, "The circle that was drawn doesn't lie in the photo: draw it on the hole's rim, with the whole rim in sight.")
	}
	if err := say(0.3, "telling the rims apart"); err != nil {
		return model.Trace{}, err
	}
	h, ok := locate(p, spot, job)
	if !ok {
		return model.Trace{}, model.Refuse(model.NoHole, "No rims were found near the circle that was drawn: draw it closer to the hole's outer edge, or take another photo.")
	}
	if err := checkHole(p, h); err != nil {
		return model.Trace{}, err
	}
	if err := say(0.6, "tracing the rims"); err != nil {
		return model.Trace{}, err
	}
	t, err := refine(p, h, job)
	if err != nil {
		return model.Trace{}, err
	}
	t.HelpedBy = "the hole was pointed out"
	return t, nil
}

// spotIn says that a circle's middle lies in the photo and that it is as large as
// a hole can be there.
func spotIn(p *Photo, c model.Circle) bool {
	return c.R >= 8 && c.R <= float64(max(p.W, p.H)) &&
		c.X > 0 && c.Y > 0 && c.X < float64(p.W-1) && c.Y < float64(p.H-1)
}
