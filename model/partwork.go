package model

// PartWork is what a part is worked out from.
type PartWork struct {
	Name    string
	Job     JobCard // flip and units; the holes have their own sizes
	Photos  []HolePhoto
	Walls   []WallRow // rows with an Err are left out
	RawEdge bool      // a raw face was picked up as reference
	NotRead map[string]string
	Machine Machine
}

// WorkOutPart joins the photos, fits the part, and says what follows: correction,
// causes, and what would decide an open verdict. The error is a *Refusal.
func WorkOutPart(w PartWork) (PartReport, error) {
	r := PartReport{Job: w.Job.WithDefaults(), NotRead: w.NotRead, Seams: map[string]Seam{}}
	e := Evidence{RawEdge: w.RawEdge}
	var walls []Wall
	for _, row := range w.Walls {
		if row.Err != nil {
			continue
		}
		walls = append(walls, row.Wall)
		if row.Seam != nil {
			r.Seams[row.Wall.Name] = *row.Seam
			e.Seams = append(e.Seams, *row.Seam)
		}
	}
	if len(w.Photos) == 0 && len(walls) == 0 {
		return r, Refuse(BadInput, "The part has neither a photo nor a wall with a reading.")
	}
	holes, err := JoinHoles(w.Photos)
	if err != nil {
		return r, Refuse(BadInput, err.Error())
	}
	if r.Fit, err = FitPart(w.Name, holes, walls); err != nil {
		return r, Refuse(BadInput, err.Error())
	}
	if len(holes) > 0 {
		show := r.Job.ShowInch
		r.Job = holes[0].Job
		r.Job.ShowInch = show
	}
	r.Advice = AdvisePart(r.Fit, r.Job, w.Machine)
	e.Part = r.Fit
	r.Causes, r.CannotTell = Causes(e)
	r.Next = r.Fit.wouldDecide()
	r.Warnings = r.Fit.CheckSteps()
	return r, nil
}

// wouldDecide is what would decide the least sure of the undecided holes.
func (f *PartFit) wouldDecide() []NextStep {
	var worst *HoleFit
	for i := range f.Holes {
		h := &f.Holes[i]
		if h.Verdict == Undecided && (worst == nil || h.PWithin < worst.PWithin) {
			worst = h
		}
	}
	if f.Verdict != Undecided || worst == nil {
		return nil
	}
	return WhatWouldDecideHole(worst.HoleReading)
}
