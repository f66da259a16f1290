package model

import "math"

// PartReport is everything that is said of a part.
type PartReport struct {
	Fit        *PartFit
	Advice     Advice
	Job        JobCard
	Causes     []Cause
	CannotTell []string
	Seams      map[string]Seam   // by wall
	Next       []NextStep        // what would decide the worst hole's verdict
	Simulation *PartSimulation   // nil unless asked for
	NotRead    map[string]string // photos without a reading and why
	Warnings   []string          // beyond the fit's own
}

// PartLine returns the JSON object, without a line end, that stands for a part in
// the output of the command line. What was not computed is null, and a warning
// says so.
func PartLine(p PartReport) ([]byte, error) {
	f := p.Fit
	m := &missingList{}
	l := partLine{
		Part: f.Part, OK: true,
		// The fit itself warns of what it can't tell.
		Shift:    [2]number{known(f.KnowsX, decimals(f.Shift.X, 6)), known(f.KnowsY, decimals(f.Shift.Y, 6))},
		Rotation: known(f.KnowsRotation, decimals(degrees(f.RotationRad), 6)),
		Chi2:     decimals(f.Chi2, 4), DOF: f.DOF, PValue: decimals(f.PValue, 4), Scale: decimals(f.Scale, 3),
		PWithin: decimals(f.PWithin, 4), Verdict: f.Verdict,
		Holes: []holeLine{}, Walls: []wallLine{}, Pairs: []pairLine{}, Causes: []causeLine{}, CannotTell: []string{}, NotRead: []notReadLine{}, WouldDecide: []nextLine{},
		Warnings: append([]string{}, append(append([]string(nil), f.Warnings...), p.Warnings...)...),
	}
	knows := [4]bool{f.KnowsX, f.KnowsY, f.KnowsRotation, f.KnowsSize}
	for i := range 3 {
		for k := range 3 {
			if knows[i] && knows[k] {
				l.Cov[i][k] = significant(f.Cov[i][k], 6)
			}
		}
	}
	if f.KnowsX && f.KnowsY {
		l.ShiftU95 = decimals(U95(f.ShiftCov()), 6)
	}
	if f.KnowsRotation {
		l.RotationU = decimals(degrees(sqrt0(f.Cov[pTurn][pTurn])), 6)
		l.RotationP = decimals(f.RotationP, 6)
	}
	if len(f.Walls) > 0 && !f.Disputed() {
		l.Size = m.unless(f.KnowsSize, "size difference", decimals(f.SizeMM, 6))
		if f.KnowsSize {
			l.SizeU = decimals(sqrt0(f.Cov[pSize][pSize]), 6)
		}
	}
	if f.UGrowthPPM > 0 {
		l.Growth, l.GrowthU = decimals(f.GrowthPPM, 2), decimals(f.UGrowthPPM, 2)
	}
	for _, h := range f.Holes {
		l.Holes = append(l.Holes, holeLineOf(h))
	}
	for _, w := range f.Walls {
		v := wallLine{Wall: w.Wall, N: w.N, Step: decimals(w.MeanMM, 6), U: decimals(w.UMM, 6), Spread: decimals(w.SpreadMM, 6),
			Predicted: decimals(w.PredictedMM, 6), Residual: decimals(w.ResidualMM, 6), P: decimals(w.PValue, 6), Misfit: w.Misfit, LeftOut: w.LeftOut}
		if w.HasDrift {
			v.Drift, v.DriftU = significant(w.DriftPerMM, 6), significant(w.UDriftPerMM, 6)
		}
		if s, ok := p.Seams[w.Wall]; ok {
			v.Burr = decimals(s.BurrMM, 6)
		}
		l.Walls = append(l.Walls, v)
	}
	for _, w := range f.Pairs {
		l.Pairs = append(l.Pairs, pairLine{[2]string{w.A, w.B}, decimals(w.MismatchMM, 6), decimals(w.SizeMM, 6), decimals(w.UMM, 6), string(w.Says)})
	}
	if c := f.Compare; c != nil {
		l.Compare = &compareLine{decimals(c.EnX, 3), decimals(c.EnY, 3), decimals(c.EnPlane, 3), decimals(c.EnRotation, 3), decimals(c.EnTogether, 3), nil}
		if c.Compares {
			l.Compare.Agree = &c.Agree
		}
	}
	if f.NoCorrection() == "" {
		c := Correct(f.Shift, p.Job.Flip)
		l.Correction = &partCorrection{decimals(c.Setup2.X, 6), decimals(c.Setup2.Y, 6), decimals(c.Setup1.X, 6), decimals(c.Setup1.Y, 6), l.Rotation}
	} else {
		m.add("correction")
	}
	l.Advice = adviceLineOf(p.Advice)
	for _, c := range p.Causes {
		l.Causes = append(l.Causes, causeLine{c.ID, c.Title, c.Rank, c.Tied, notNil(c.Evidence), notNil(c.Against), c.Check})
	}
	l.CannotTell = append(l.CannotTell, p.CannotTell...)
	for _, n := range p.Next {
		l.WouldDecide = append(l.WouldDecide, nextLine{n.What, decimals(n.U95MM, 6), decimals(n.Chance, 3)})
	}
	for _, photo := range sortedKeys(p.NotRead) {
		l.NotRead = append(l.NotRead, notReadLine{photo, p.NotRead[photo]})
	}
	if s := p.Simulation; s != nil {
		l.Simulation = &simulationLine{s.Trials, known(!f.Disputed(), decimals(s.ShiftU95MM, 6)), known(!f.Disputed(), decimals(s.URotation*180/math.Pi, 6)), []holeSimulationLine{}}
		for _, h := range s.Holes {
			l.Simulation.Holes = append(l.Simulation.Holes, holeSimulationLine{h.Hole, decimals(h.U95MM, 6), decimals(h.PWithin, 4)})
		}
	}
	l.Warnings = append(l.Warnings, m.warnings()...)
	return marshalLine(l)
}

// PartRefusalLine is the object of a part that nothing can be said of.
func PartRefusalLine(part string, err error) ([]byte, error) {
	r := AsRefusal(err)
	return marshalLine(partRefusal{part, false, r.Reason, r.Sentence})
}

func holeLineOf(h HoleFit) holeLine {
	v := holeLine{Hole: h.Hole, DX: decimals(h.Mismatch.X, 6), DY: decimals(h.Mismatch.Y, 6), Residual: decimals(h.Residual.Norm(), 6),
		ResidualXY: [2]number{decimals(h.Residual.X, 6), decimals(h.Residual.Y, 6)}, U95: decimals(U95(h.Cov), 6), P: decimals(h.PValue, 6),
		Cov:     [2][2]number{{significant(h.Cov.XX, 6), significant(h.Cov.XY, 6)}, {significant(h.Cov.XY, 6), significant(h.Cov.YY, 6)}},
		Verdict: h.Verdict, PWithin: decimals(h.PWithin, 4), Misfit: h.Misfit, LeftOut: h.LeftOut, Photos: []string{}}
	if h.HasPlace {
		v.At = &[2]number{decimals(h.At.X, 4), decimals(h.At.Y, 4)}
	}
	if h.WidthMM > 0 {
		v.Width = decimals(h.WidthMM, 6)
	}
	for _, r := range h.Readings {
		v.Photos = append(v.Photos, r.Photo.Name)
	}
	if s := h.Set; s != nil {
		t := &turnLine{Camera: [2]number{decimals(s.CameraBias.X, 6), decimals(s.CameraBias.Y, 6)}, Separated: s.Separated,
			Chi2: decimals(s.Chi2, 4), DOF: s.DOF, Gain: decimals(s.Gain, 3), Turns: []turnResidualLine{}}
		for i, r := range s.Turns {
			name := r.Photo
			if i < len(v.Photos) {
				name = v.Photos[i]
			}
			t.Turns = append(t.Turns, turnResidualLine{name, decimals(degrees(r.TurnRad), 3), [2]number{decimals(r.ResidualMM.X, 6), decimals(r.ResidualMM.Y, 6)}, decimals(r.PValue, 6), r.LeftOut, r.Suspect})
		}
		v.Set = t
	}
	return v
}

func adviceLineOf(a Advice) adviceLine {
	l := adviceLine{Setup2: []string{}, Setup1: []string{}, LeftAlone: notNil(a.LeftAlone), Cautions: notNil(a.Cautions),
		Remaining: [2]number{decimals(a.Remaining.X, 6), decimals(a.Remaining.Y, 6)}, RemainingU95: decimals(a.RemainingU95MM, 6), RemainingP: decimals(a.RemainingP, 4)}
	for _, m := range a.Setup2 {
		l.Setup2 = append(l.Setup2, m.Words)
	}
	for _, m := range a.Setup1 {
		l.Setup1 = append(l.Setup1, m.Words)
	}
	return l
}

// known is n where it is known, null otherwise.
func known(ok bool, n number) number {
	if !ok {
		return ""
	}
	return n
}

func notNil(s []string) []string { return append([]string{}, s...) }

type partLine struct {
	Part        string          `json:"part"`
	OK          bool            `json:"ok"`
	Shift       [2]number       `json:"shift_mm"`
	ShiftU95    number          `json:"shift_u95_mm"`
	Rotation    number          `json:"rotation_deg"`
	RotationU   number          `json:"rotation_u_deg"`
	RotationP   number          `json:"rotation_p"`
	Cov         [3][3]number    `json:"cov"`
	Chi2        number          `json:"chi2"`
	DOF         int             `json:"dof"`
	PValue      number          `json:"p_value"`
	Scale       number          `json:"scale"`
	Size        number          `json:"size_mm"`
	SizeU       number          `json:"size_u_mm"`
	Growth      number          `json:"growth_ppm"`
	GrowthU     number          `json:"growth_u_ppm"`
	Holes       []holeLine      `json:"holes"`
	Walls       []wallLine      `json:"walls"`
	Pairs       []pairLine      `json:"opposite_walls"`
	Compare     *compareLine    `json:"photos_against_indicator"`
	Verdict     Verdict         `json:"verdict"`
	PWithin     number          `json:"p_within"`
	WouldDecide []nextLine      `json:"would_decide"`
	Correction  *partCorrection `json:"correction"`
	Advice      adviceLine      `json:"advice"`
	Causes      []causeLine     `json:"causes"`
	CannotTell  []string        `json:"cannot_tell"`
	Simulation  *simulationLine `json:"monte_carlo"`
	NotRead     []notReadLine   `json:"not_read"`
	Warnings    []string        `json:"warnings"`
}

type holeLine struct {
	Hole       string       `json:"hole"`
	DX         number       `json:"dx_mm"`
	DY         number       `json:"dy_mm"`
	Residual   number       `json:"residual_mm"`
	ResidualXY [2]number    `json:"residual_xy_mm"`
	P          number       `json:"residual_p"`
	Cov        [2][2]number `json:"cov_mm2"`
	U95        number       `json:"u95_mm"`
	At         *[2]number   `json:"at_mm"`
	Width      number       `json:"width_mm"`
	Verdict    Verdict      `json:"verdict"`
	PWithin    number       `json:"p_within"`
	Misfit     bool         `json:"misfit"`
	LeftOut    bool         `json:"left_out"`
	Photos     []string     `json:"photos"`
	Set        *turnLine    `json:"turn_set"`
}

type turnLine struct {
	Camera    [2]number          `json:"camera_bias_mm"`
	Separated bool               `json:"separated"`
	Chi2      number             `json:"chi2"`
	DOF       int                `json:"dof"`
	Gain      number             `json:"gain"`
	Turns     []turnResidualLine `json:"turns"`
}

type turnResidualLine struct {
	Photo    string    `json:"photo"`
	Turn     number    `json:"turn_deg"`
	Residual [2]number `json:"residual_mm"`
	P        number    `json:"p_value"`
	LeftOut  bool      `json:"left_out"`
	Suspect  bool      `json:"suspect"`
}

type wallLine struct {
	Wall      string `json:"wall"`
	N         int    `json:"n"`
	Step      number `json:"step_mm"`
	U         number `json:"u_mm"`
	Spread    number `json:"spread_mm"`
	Drift     number `json:"drift_per_mm"`
	DriftU    number `json:"drift_u_per_mm"`
	Predicted number `json:"predicted_mm"`
	Residual  number `json:"residual_mm"`
	Burr      number `json:"burr_mm"`
	P         number `json:"residual_p"`
	Misfit    bool   `json:"misfit"`
	LeftOut   bool   `json:"left_out"`
}

type pairLine struct {
	Walls    [2]string `json:"walls"`
	Mismatch number    `json:"mismatch_mm"`
	Size     number    `json:"size_mm"`
	U        number    `json:"u_mm"`
	Says     string    `json:"says"`
}

type compareLine struct {
	EnX        number `json:"en_x"`
	EnY        number `json:"en_y"`
	EnPlane    number `json:"en_plane"`
	EnRotation number `json:"en_rotation"`
	EnTogether number `json:"en_together"`
	Agree      *bool  `json:"agree"` // null where nothing was compared
}

type partCorrection struct {
	Setup2X number `json:"setup2_x_mm"`
	Setup2Y number `json:"setup2_y_mm"`
	Setup1X number `json:"setup1_x_mm"`
	Setup1Y number `json:"setup1_y_mm"`
	// Turn is how far to turn the part in the vise, degrees counter-clockwise.
	Turn number `json:"turn_part_deg"`
}

type adviceLine struct {
	Setup2       []string  `json:"setup2"`
	Setup1       []string  `json:"or_setup1"`
	LeftAlone    []string  `json:"left_alone"`
	Remaining    [2]number `json:"remaining_mm"`
	RemainingU95 number    `json:"remaining_u95_mm"`
	RemainingP   number    `json:"remaining_p_within"`
	Cautions     []string  `json:"cautions"`
}

type causeLine struct {
	ID       string   `json:"id"`
	Title    string   `json:"cause"`
	Rank     int      `json:"rank"`
	Tied     bool     `json:"tied"`
	Evidence []string `json:"evidence"`
	Against  []string `json:"against"`
	Check    string   `json:"check"`
}

type nextLine struct {
	What   string `json:"what"`
	U95    number `json:"expected_u95_mm"`
	Chance number `json:"chance_of_verdict"`
}

type notReadLine struct {
	Photo string `json:"photo"`
	Error string `json:"error"`
}

type simulationLine struct {
	Trials   int                  `json:"trials"`
	ShiftU95 number               `json:"shift_u95_mm"`
	URotate  number               `json:"rotation_u_deg"`
	Holes    []holeSimulationLine `json:"holes"`
}

type holeSimulationLine struct {
	Hole    string `json:"hole"`
	U95     number `json:"u95_mm"`
	PWithin number `json:"p_within"`
}

type partRefusal struct {
	Part   string `json:"part"`
	OK     bool   `json:"ok"`
	Reason Reason `json:"reason"`
	Error  string `json:"error"`
}
