package live

import (
	"slices"
	"time"

	"evenrim/model"
)

// Estimate is the number of the moment.
type Estimate struct {
	Mismatch  model.Vec // mm, setup 2 axes: middle of each component
	U95MM     float64   // middle of the single pictures' own; not made smaller by their number
	SpreadMM  float64   // half the range of the middle two thirds, the larger component
	WidthMM   float64
	WidthUMM  float64
	PWithin   float64
	Verdict   model.Verdict
	Readings  int
	OfReading *model.Reading // the one nearest to the middle, for its drawing
}

// span is over how long the number is steadied: long enough to be read, short
// enough to follow a hand that moves the camera.
const span = 500 * time.Millisecond

// Middle steadies the number of the last half second. The zero value is ready.
type Middle struct {
	at []time.Duration
	r  []*model.Reading
}

// Add takes the reading of the picture at a time; times don't go back.
func (m *Middle) Add(at time.Duration, r *model.Reading) {
	m.at, m.r = append(m.at, at), append(m.r, r)
	m.drop(at)
}

// Clear forgets all readings: another hole or job card.
func (m *Middle) Clear() { m.at, m.r = nil, nil }

func (m *Middle) drop(now time.Duration) {
	n := 0
	for n < len(m.at) && now-m.at[n] > span {
		n++
	}
	m.at, m.r = m.at[n:], m.r[n:]
}

// Value returns the estimate at a time, nil when there was no reading of late.
// Errors of light and view are the same in every picture, so that many pictures
// do not make it surer: the uncertainty stays that of one.
func (m *Middle) Value(now time.Duration) *Estimate {
	m.drop(now)
	n := len(m.r)
	if n == 0 {
		return nil
	}
	of := func(f func(*model.Reading) float64) []float64 {
		v := make([]float64, n)
		for i, r := range m.r {
			v[i] = f(r)
		}
		slices.Sort(v)
		return v
	}
	mid := func(v []float64) float64 { return (v[(n-1)/2] + v[n/2]) / 2 }
	x := of(func(r *model.Reading) float64 { return r.Mismatch.X })
	y := of(func(r *model.Reading) float64 { return r.Mismatch.Y })
	half := func(v []float64) float64 { return (v[n-1-n/6] - v[n/6]) / 2 }
	e := &Estimate{Mismatch: model.Vec{X: mid(x), Y: mid(y)}, Readings: n,
		SpreadMM: max(half(x), half(y)),
		U95MM:    mid(of(func(r *model.Reading) float64 { return r.U95MM })),
		WidthMM:  mid(of(func(r *model.Reading) float64 { return r.WidthMM })),
		WidthUMM: mid(of(func(r *model.Reading) float64 { return r.WidthUMM })),
	}
	e.OfReading = slices.MinFunc(m.r, func(a, b *model.Reading) int {
		if a.Mismatch.Sub(e.Mismatch).Norm() < b.Mismatch.Sub(e.Mismatch).Norm() {
			return -1
		}
		return 1
	})
	r := e.OfReading
	e.Verdict, e.PWithin = model.JudgePhoto(e.Mismatch, r.Cov, r.Job.ToleranceMM, r.Job.Zone)
	return e
}
