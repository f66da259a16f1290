package model

import "fmt"

// HoleReading is what the photos of one hole say together, with its place on the
// part.
type HoleReading struct {
	Hole     string
	At       Vec // mm, setup 2 axes; HasPlace says whether it is known
	HasPlace bool
	Mismatch Vec  // mm
	Cov      Sym2 // mm², everything included
	// CameraCov is the share of Cov that stays with the camera, mm², in the
	// camera's own axes; holes photographed one after the other share it.
	CameraCov         Sym2
	PlusX             float64 // rad: turns part axes into camera axes
	WidthMM, WidthUMM float64
	Job               JobCard
	Verdict           Verdict
	PWithin           float64
	Readings          []*Reading
	Set               *TurnSet // nil for a single photo
}

// JoinHole makes one hole's reading from its photos, a turn set where there are
// two or more (see JoinTurns for turnRad). at is nil when the hole's place is not
// known.
func JoinHole(hole string, at *Vec, readings []*Reading, turnRad []float64) (HoleReading, error) {
	if len(readings) == 0 {
		return HoleReading{}, fmt.Errorf("model: hole %q has no photo with a reading", hole)
	}
	r := readings[0]
	h := HoleReading{Hole: hole, Mismatch: r.Mismatch, Cov: r.Cov, WidthMM: r.WidthMM, WidthUMM: r.WidthUMM,
		CameraCov: r.CovOf(FollowsCamera).Rotate(r.Job.PlusX), PlusX: r.Job.PlusX, Job: r.Job.WithDefaults(), Readings: readings}
	if at != nil {
		h.At, h.HasPlace = *at, true
	}
	if len(readings) > 1 {
		set, err := JoinTurns(readings, turnRad)
		if err != nil {
			return HoleReading{}, fmt.Errorf("model: hole %q: %w", hole, err)
		}
		h.Set, h.Mismatch, h.Cov, h.WidthMM, h.WidthUMM = set, set.Mismatch, set.Cov, set.WidthMM, set.WidthUMM
		if set.Separated {
			h.CameraCov = Sym2{}
		}
	}
	h.Verdict, h.PWithin = Judge(h.Mismatch, h.Cov, h.Job.ToleranceMM, h.Job.Zone)
	return h, nil
}

// ownCov is the share of Cov that is the hole's own, mm².
func (h HoleReading) ownCov() Sym2 { return h.Cov.Add(h.CameraCov.Rotate(-h.PlusX).Scale(-1)) }
