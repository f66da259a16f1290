package model

import "math"

// Solve turns traced rims into a reading by the full perspective model. job's
// optional fields get their defaults. Photo, Seconds, Version and MadeAt are the
// caller's to fill in.
//
// The error is a *FieldError for a bad job card or a *Refusal when the rims carry
// no mismatch.
func Solve(t Trace, job JobCard) (*Reading, error) {
	job = job.WithDefaults()
	if err := job.Validate(); err != nil {
		return nil, err
	}
	f, err := fitRims(&t, job)
	if err != nil {
		return nil, err
	}
	q := f.fit.P
	r := &Reading{Job: job, Trace: t, Camera: f.camera(q)}
	r.Mismatch = Vec{q[qDX], q[qDY]}
	r.WidthMM = q[qWidth]
	r.Cov = Sym2{f.cov.At(qDX, qDX), f.cov.At(qDX, qDY), f.cov.At(qDY, qDY)}
	r.WidthUMM = math.Sqrt(f.cov.At(qWidth, qWidth))
	r.View = View{SlopeX: q[qSlopeX], SlopeY: q[qSlopeY],
		SlopeUX: math.Sqrt(f.cov.At(qSlopeX, qSlopeX)), SlopeUY: math.Sqrt(f.cov.At(qSlopeY, qSlopeY)), How: Assumed}
	return r, nil
}
