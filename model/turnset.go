package model

import (
	"fmt"
	"math"
	"slices"
)

// TurnSet is what two or more photos of one hole say together, the part turned
// under a fixed camera and light between them.
//
// Model: reading k, in part axes, is d + Rot(-PlusX_k) b + noise, where d turns
// with the part and b stays with the camera (reversal: Evans, Hocken & Estler,
// CIRP Annals 45 (1996) 617-634, from memory). It cannot take out what turns with
// the part: a tilted chamfer, an oval bore, a burr; and half of what camera and light
// have wrong is in the noise (BudgetLine.Share).
type TurnSet struct {
	Mismatch Vec  // mm, setup 2 axes
	Cov      Sym2 // mm²
	U95MM    float64
	// PartCov is the share of Cov that turns with the part, mm²: more photos don't lessen it.
	// It is nothing in sets kept by versions that didn't tell it.
	PartCov Sym2
	// CameraBias is what every photo of the set had wrong, mm, in the camera's own
	// axes: X to the right, Y up on the screen.
	CameraBias    Vec
	CameraBiasCov Sym2
	// Separated says that the turns alone tell mismatch from camera. Otherwise what
	// the single readings say of their camera's error is used.
	Separated         bool
	WidthMM, WidthUMM float64
	Turns             []TurnResidual // in the order given
	Chi2              float64
	DOF               int
	PValue            float64 // of Chi2: small = the photos disagree by more than they state
	// Scale is how much more the photos scatter than they state; 1 = they agree.
	// ExcessMM is the standard deviation per photo and axis that was added to
	// account for it.
	Scale    float64
	ExcessMM float64
	Gain     float64 // median U95 of the single photos over U95MM
	Warnings []string
}

// GainWords say by how much the set is surer than a photo alone claims to be.
func (t *TurnSet) GainWords() string {
	if t.Pictures() == 1 {
		return "no surer than one: they are one picture"
	}
	if t.Gain <= 1 {
		return "no surer than one by itself claims: they disagree"
	}
	return fmt.Sprintf("%.1f times surer than one", t.Gain)
}

// TurnResidual is one photo of a turn set against the rest.
type TurnResidual struct {
	Photo      string
	TurnRad    float64 // from the first photo, by the photos' own +X
	ResidualMM Vec     // reading less what the set says, part axes
	PValue     float64 // that the others would leave it so far off by chance
	LeftOut    bool    // not used: flagged as an outlier, or a picture that is there before
	// Suspect is flagged, too, but used: without it the others agree, yet they are
	// too few to tell it from scatter that all of them have.
	Suspect bool
}

const (
	// Turns are well spread when their unit vectors nearly cancel: 0.7 is just
	// less than two photos a quarter turn apart, where reversal costs as much
	// noise as it has photos.
	spreadEnough = 0.7
	// A photo is an outlier at 1 % for the whole set, and only where the others
	// then agree.
	outlierLevel = 0.01
	agreeLevel   = 0.05
	// And it stands out from their own scatter, at 5 % for the set.
	standOutLevel = 0.05
	// In a set of turns at 2 %: at 5 % too many sets lose a photo in vain and then
	// hold the truth in 92 % (simulated: see TestJoinTurnsWithUnstatedScatter). Four
	// photos can seldom convict one; it is then a suspect, and pays.
	turnStandsOutLevel = 0.02
	// The turn stated in the list and the one between the +X arrows should agree
	// to within what a hand-drawn arrow is good for, twice, three times over.
	turnSlackRad = 4 * math.Pi / 180
)

// JoinTurns joins the readings of one hole. turnRad is nil or holds each photo's
// turn as stated (rad counter-clockwise from the first, NaN = not stated); it
// only serves to check the photos' +X.
//
// It returns an error for fewer than two readings or readings of different bores.
func JoinTurns(readings []*Reading, turnRad []float64) (*TurnSet, error) {
	if len(readings) < 2 {
		return nil, fmt.Errorf("model: a turn set of %d photos: it takes two or more of one hole", len(readings))
	}
	for _, r := range readings {
		if r.Job.BoreMM != readings[0].Job.BoreMM {
			return nil, fmt.Errorf("model: a turn set with bores of %g and %g mm: photos of one hole only", readings[0].Job.BoreMM, r.Job.BoreMM)
		}
	}
	t := &TurnSet{Scale: 1}
	use, same := DistinctPhotos(readings)
	t.Warnings = append(t.Warnings, same...)
	all := newReversal(readings, use, 0)
	t.Separated = all.separated
	fit, out := all, -1
	k, alone := t.rateTurns(readings, use, all)
	if k >= 0 && alone {
		use[k] = false
		if fit = newReversal(readings, use, 0); fit.separated {
			out = k
			t.Warnings = append(t.Warnings, fmt.Sprintf("Photo %s does not agree with the others of its hole and was left out: look for dirt, a moved camera or a wrong +X.", readings[k].Photo.Name))
		} else {
			use[k], fit = true, all
		}
	}
	t.take(readings, fit, use)
	for i, r := range readings {
		t.Turns[i].LeftOut = !use[i]
		t.Turns[i].ResidualMM = r.Mismatch.Sub(t.Mismatch).Sub(t.CameraBias.Rotate(-r.Job.PlusX))
	}
	switch {
	case out < 0 && k >= 0:
		t.Turns[k].Suspect = true
		t.Warnings = append(t.Warnings, fmt.Sprintf("Photo %s does not agree with the others of its hole, but they are too few to be sure that it is the wrong one: %s of scatter was added to each. Look for dirt, a moved camera or a wrong +X there, and take it again.", readings[k].Photo.Name, small(t.ExcessMM)))
	case out < 0 && t.PValue < outlierLevel:
		t.Warnings = append(t.Warnings, fmt.Sprintf("The photos of this hole disagree by %.1f times what they state; %s of scatter was added to each. Which one is wrong cannot be told.", t.Scale, small(t.ExcessMM)))
	}
	if !t.Separated {
		t.Warnings = append(t.Warnings, "The part was turned too little between the photos to tell its mismatch from the camera's own error: turn it by half a turn.")
	}
	t.checkTurns(readings, turnRad)
	return t, nil
}

// DistinctPhotos says which photos of a hole to join: a picture that was there before is
// left out, and a sentence of same says so. The same noise again makes nothing surer.
func DistinctPhotos(readings []*Reading) (use []bool, same []string) {
	use = make([]bool, len(readings))
	seen := map[string]string{}
	for i, r := range readings {
		sha, name := r.Photo.SHA256, r.Photo.Name
		first, twice := seen[sha]
		use[i] = sha == "" || !twice
		switch {
		case use[i]:
			seen[sha] = name
		case first == name:
			same = append(same, fmt.Sprintf("Photo %s is in this hole twice and counts once.", name))
		default:
			same = append(same, fmt.Sprintf("Photos %s and %s of this hole are the same picture, which counts once.", first, name))
		}
	}
	return use, same
}

// CountWords say how many photos the answer comes from, and of how many where some were
// left out: "3 photos", "3 of 4 photos".
func (t *TurnSet) CountWords() string {
	if n := t.Pictures(); n < len(t.Turns) {
		return fmt.Sprintf("%d of %d photos", n, len(t.Turns))
	}
	return fmt.Sprintf("%d photos", len(t.Turns))
}

// Pictures is how many photos the answer comes from.
func (t *TurnSet) Pictures() (n int) {
	for _, u := range t.Turns {
		if !u.LeftOut {
			n++
		}
	}
	return n
}

// reversal is the least-squares fit of one choice of photos.
type reversal struct {
	linearFit
	separated bool
	index     []int // of the readings used
}

// newReversal fits the photos in use. excess is a standard deviation per axis that
// each photo has beyond what it states, mm.
func newReversal(readings []*Reading, use []bool, excess float64) reversal {
	rows := linearRows{n: 4}
	var v reversal
	var sum Vec
	var camera Sym2
	for i, r := range readings {
		if !use[i] {
			continue
		}
		s, c := math.Sincos(r.Job.PlusX)
		rows.addPair([]float64{1, 0, c, s}, []float64{0, 1, -s, c}, r.Mismatch, photoCov(r, excess))
		sum = sum.Add(Vec{c, s})
		camera = camera.Add(r.CovOf(FollowsCamera).Rotate(r.Job.PlusX))
		v.index = append(v.index, i)
	}
	n := float64(len(v.index))
	v.separated = len(v.index) >= 2 && sum.Norm()/n <= spreadEnough
	if !v.separated {
		rows.addPair([]float64{0, 0, 1, 0}, []float64{0, 0, 0, 1}, Vec{}, camera.Scale(1/n))
	}
	v.linearFit = rows.solve()
	return v
}

// photoCov is what is new in photo r, mm².
func photoCov(r *Reading, excess float64) Sym2 {
	return r.CovOf(FollowsPhoto).Add(Sym2{excess * excess, 0, excess * excess})
}

// excessOf returns the standard deviation, the same for each photo, that brings
// chi-squared down to its degrees of freedom (Paule & Mandel, J. Res. NBS 87
// (1982) 377-385, from memory): when photos differ for a reason of their own, the
// one that states least must not decide alone.
func excessOf(readings []*Reading, use []bool, f reversal) float64 {
	lo, hi := 0.0, 1e-3
	tooMuch := func(excess float64) bool {
		return newReversal(readings, use, excess).Chi2 > float64(f.DOF)
	}
	for tooMuch(hi) && hi < 1e3 {
		hi *= 2
	}
	for range 40 {
		if mid := (lo + hi) / 2; tooMuch(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// scatterFactor enlarges a covariance that came from scatter with dof degrees of
// freedom so that the 95 % region of a known one, 2.4477, serves: the tail of
// F(2, dof) against that of chi-squared.
func scatterFactor(dof int) float64 {
	return studentRegion95(float64(dof)) / chiSquared95
}

// rateTurns fills in the p-value of each photo in use, by how much chi-squared falls
// without it, and returns the one that does not agree or -1, and whether it stands out
// alone even if the photos scatter more than they state.
func (t *TurnSet) rateTurns(readings []*Reading, inUse []bool, all reversal) (odd int, alone bool) {
	n := len(all.index)
	t.Turns = make([]TurnResidual, len(readings))
	worst, worstP, left, agrees := -1, 1.0, 0.0, false
	for k, r := range readings {
		t.Turns[k] = TurnResidual{Photo: r.Photo.Name, TurnRad: wrapPi(r.Job.PlusX - readings[0].Job.PlusX), PValue: 1}
		// With fewer than three left nothing checks the rest.
		if n < 4 || !inUse[k] {
			continue
		}
		use := slices.Clone(inUse)
		use[k] = false
		rest := newReversal(readings, use, 0)
		p := chi2Tail(all.Chi2-rest.Chi2, all.DOF-rest.DOF)
		t.Turns[k].PValue = p
		// Far out the probabilities are all nothing: then the one that leaves least.
		if p < worstP || p == worstP && worst >= 0 && rest.Chi2 < left {
			worst, worstP, left, agrees = k, p, rest.Chi2, chi2Tail(rest.Chi2, rest.DOF) >= agreeLevel
			alone = standsOut(all.linearFit, rest.linearFit, turnStandsOutLevel/float64(n))
		}
	}
	if worst >= 0 && worstP < outlierLevel/float64(n) && agrees {
		return worst, alone
	}
	return -1, false
}

// take fills in the answer from the fit of the photos in use.
func (t *TurnSet) take(readings []*Reading, f reversal, use []bool) {
	t.Chi2, t.DOF, t.PValue = f.Chi2, f.DOF, chi2Tail(f.Chi2, f.DOF)
	enlarge := 1.0
	if t.PValue < agreeLevel {
		t.Scale = math.Sqrt(f.Chi2 / float64(f.DOF))
		t.ExcessMM = excessOf(readings, use, f)
		enlarge = scatterFactor(f.DOF)
		f = newReversal(readings, use, t.ExcessMM)
	}
	t.Mismatch, t.CameraBias = Vec{f.X[0], f.X[1]}, Vec{f.X[2], f.X[3]}
	block := func(i int) Sym2 { return Sym2{f.Cov.At(i, i), f.Cov.At(i, i+1), f.Cov.At(i+1, i+1)} }
	t.Cov = block(0).Scale(enlarge)
	t.CameraBiasCov = block(2).Scale(enlarge)
	var part Sym2
	var single []float64
	var w, wu float64
	for i, r := range readings {
		if use[i] {
			single = append(single, U95(r.Cov))
			part = part.Add(r.CovOf(FollowsPart))
			w += r.WidthMM
			wu = math.Max(wu, r.WidthUMM)
		}
	}
	n := float64(len(f.index))
	t.PartCov = part.Scale(1 / n) // the same in every photo: averaging doesn't help
	t.Cov = t.Cov.Add(t.PartCov)
	t.U95MM = U95(t.Cov)
	// Most of a width's uncertainty, the bore diameter, is the same in every photo.
	t.WidthMM, t.WidthUMM = w/n, wu
	if t.U95MM > 0 {
		t.Gain = median(single) / t.U95MM
	}
}

// checkTurns compares the turns as stated with those between the photos' +X.
func (t *TurnSet) checkTurns(readings []*Reading, turnRad []float64) {
	i0 := slices.IndexFunc(turnRad, finite)
	if i0 < 0 {
		return
	}
	for i, stated := range turnRad {
		byX := readings[i].Job.PlusX - readings[i0].Job.PlusX
		if finite(stated) && math.Abs(wrapPi(byX-(stated-turnRad[i0]))) > turnSlackRad {
			t.Warnings = append(t.Warnings, fmt.Sprintf("Photo %s: the list says turned by %.1f degrees, its +X says %.1f: one of them is wrong.",
				readings[i].Photo.Name, degrees(stated-turnRad[i0]), degrees(wrapPi(byX))))
		}
	}
}
