package model

import (
	"slices"
	"time"
)

// Joined is what the photos of a turn set say together: a reading made of readings.
// Like a reading it is never changed after it was made; where one of its readings is
// corrected, the photos are joined anew.
type Joined struct {
	Job        JobCard // of the first photo, with defaults; PlusX is that photo's own
	Set        TurnSet
	Verdict    Verdict
	PWithin    float64 // probability that the mismatch lies inside the zone
	Correction Correction
	Version    string // of the program
	MadeAt     time.Time
}

// Joined is the hole's turn set as a reading of its own, nil for a single photo.
func (h HoleReading) Joined(version string, at time.Time) *Joined {
	if h.Set == nil {
		return nil
	}
	return &Joined{Job: h.Job, Set: *h.Set, Verdict: h.Verdict, PWithin: h.PWithin,
		Correction: Correct(h.Mismatch, h.Job.Flip), Version: version, MadeAt: at}
}

// Reading is j in the form of a photo's reading, for what shows readings. Rims, curve
// and camera are those of the photo that first was read from; it has no budget and no
// damage, which belong to single photos.
func (j *Joined) Reading(first *Reading) *Reading {
	r := *first
	r.Job = j.Job
	r.Mismatch, r.Cov, r.U95MM, r.Verdict, r.PWithin = j.Set.Mismatch, j.Set.Cov, j.Set.U95MM, j.Verdict, j.PWithin
	r.WidthMM, r.WidthUMM = j.Set.WidthMM, j.Set.WidthUMM
	r.View.How = FromTurnSet
	r.Correction = j.Correction
	r.Warnings, r.Damage, r.Budget = slices.Clone(j.Set.Warnings), nil, nil
	r.Version, r.MadeAt, r.Seconds = j.Version, j.MadeAt, 0
	return &r
}
