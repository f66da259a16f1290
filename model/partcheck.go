package model

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"
)

// fitWithoutMisfits fits all holes and walls; where one does not fit the rest, and
// the rest agrees, it is left out, and so on for up to a third of the holes and a
// third of the walls. What misfits holds numbers as body.use does.
func (b *body) fitWithoutMisfits() (bodyFit, map[int]bool) {
	misfits := map[int]bool{}
	fit := b.fit(false)
	room := [2]int{max(1, len(b.holes)/3), max(1, len(b.walls)/3)}
	for {
		worst, worstP, suspects, rest := b.worst(fit)
		used := len(b.use) - len(misfits)
		// Named only where the others agree without it, and without no other.
		if worst < 0 || worstP > misfitLevel/float64(used) || len(suspects) != 1 || !suspects[worst] ||
			!standsOut(fit.linearFit, rest.linearFit, standOutLevel/float64(used)) {
			break
		}
		kind := 0
		if worst >= len(b.holes) {
			kind = 1
		}
		if room[kind]--; room[kind] < 0 || b.lastOfKind(worst) {
			break
		}
		misfits[worst] = true
		if used < 4 {
			break // named, but what is left would check itself no more
		}
		b.use[worst] = false
		fit = b.fit(false)
	}
	return fit, misfits
}

// lastOfKind says that i is the only hole in use besides walls, or the only wall besides
// holes. Left out, what photos and indicator disagree in would show no more: one photo
// against four walls with a sign wrong is no misfit to be outvoted.
func (b *body) lastOfKind(i int) bool {
	holes, walls := b.use[:len(b.holes)], b.use[len(b.holes):]
	kind := holes
	if i >= len(b.holes) {
		kind = walls
	}
	n := 0
	for _, used := range kind {
		if used {
			n++
		}
	}
	return n == 1 && len(holes) > 0 && len(walls) > 0
}

// standsOut says that leaving something out lowers chi-squared by more than the
// scatter of the rest explains, however far that is from what was stated (F test).
// Without it, readings that all scatter more than they state would often lose one
// in vain, and the others look surer than they are.
func standsOut(all, rest linearFit, level float64) bool {
	n := all.DOF - rest.DOF
	if n <= 0 || rest.DOF <= 0 {
		return false
	}
	f := (all.Chi2 - rest.Chi2) / float64(n) / math.Max(1, rest.Chi2/float64(rest.DOF))
	return distuv.F{D1: float64(n), D2: float64(rest.DOF)}.Survival(f) <= level
}

// worst returns the hole or wall in use without which chi-squared falls most
// improbably far, that probability, all of them without which the rest agree, and
// the fit without the worst. worst is -1 where the others don't check each other.
func (b *body) worst(all bodyFit) (worst int, p float64, suspects map[int]bool, without bodyFit) {
	worst, p, suspects = -1, 1, map[int]bool{}
	for i := range b.use {
		if !b.use[i] {
			continue
		}
		q, rest := b.without(i, all)
		if rest.DOF <= 0 {
			continue
		}
		if chi2Tail(rest.Chi2, rest.DOF) >= agreeLevel {
			suspects[i] = true
		}
		// Far out the probabilities are all nothing: then the one that leaves least.
		if q < p || q == p && worst >= 0 && rest.Chi2 < without.Chi2 {
			worst, p, without = i, q, rest
		}
	}
	return worst, p, suspects, without
}

// without returns the probability that hole or wall i departs from the others by
// chance, and the fit without it.
func (b *body) without(i int, all bodyFit) (float64, bodyFit) {
	b.use[i] = false
	rest := b.fit(false)
	b.use[i] = true
	return chi2Tail(all.Chi2-rest.Chi2, all.DOF-rest.DOF), rest
}

func (f *PartFit) rateHoles(b *body, fit bodyFit, misfits map[int]bool) {
	for i, h := range b.holes {
		at, _ := moved(h.At, f.RotationRad)
		v := HoleFit{HoleReading: h, Predicted: f.Shift.Add(at), PValue: 1, Misfit: misfits[i], LeftOut: !b.use[i]}
		v.Residual = h.Mismatch.Sub(v.Predicted)
		if b.use[i] {
			v.PValue, _ = b.without(i, fit)
		} else {
			_, cov := f.At(h.At)
			v.PValue = chi2Tail(cov.Add(h.Cov).Mahalanobis2(v.Residual), 2)
		}
		f.Holes = append(f.Holes, v)
	}
}

func (f *PartFit) rateWalls(b *body, fit bodyFit, misfits map[int]bool) {
	for i, w := range b.walls {
		n, k := Polar(1, w.NormalRad), len(b.holes)+i
		at, _ := moved(w.middle(), f.RotationRad)
		v := WallFit{WallStep: b.steps[i], At: w.middle(), NormalRad: w.NormalRad,
			PredictedMM: n.Dot(f.Shift.Add(at)) + f.SizeMM, Misfit: misfits[k], LeftOut: !b.use[k]}
		v.ResidualMM = v.MeanMM - v.PredictedMM
		if b.use[k] {
			v.PValue, _ = b.without(k, fit)
		} else {
			_, u := f.StepAt(w.middle(), w.NormalRad)
			v.PValue = twoSided(v.ResidualMM / math.Hypot(u, v.UMM))
		}
		f.Walls = append(f.Walls, v)
	}
}

// pairs are the opposite walls of those in use.
func (b *body) pairs() []WallPair {
	var walls []Wall
	var steps []WallStep
	for i, w := range b.walls {
		if b.use[len(b.holes)+i] {
			walls, steps = append(walls, w), append(steps, b.steps[i])
		}
	}
	return PairWalls(walls, steps)
}

// growth tries whether setup 2's pattern is also larger or smaller.
func (f *PartFit) growth(b *body) {
	if !b.turns || len(b.holes) < 2 {
		return
	}
	g := b.fit(true)
	if g.knows[pGrow] {
		f.GrowthPPM = 1e6 * g.X[pGrow]
		f.UGrowthPPM = 1e6 * g.scale() * sqrt0(g.Cov.At(pGrow, pGrow))
	}
}

func (f *PartFit) judge() {
	f.Verdict, f.PWithin = Undecided, math.NaN()
	if len(f.Holes) == 0 {
		return
	}
	f.Verdict, f.PWithin = Conforms, 1
	for _, h := range f.Holes {
		f.PWithin = math.Min(f.PWithin, h.PWithin)
		switch {
		case h.Verdict == DoesNotConform:
			f.Verdict = DoesNotConform
		case h.Verdict == Undecided && f.Verdict == Conforms:
			f.Verdict = Undecided
		}
	}
}

// sharesPhoto says that h and o were read from one hole in one picture.
func (h HoleReading) sharesPhoto(o HoleReading) bool {
	return slices.ContainsFunc(h.Readings, func(r *Reading) bool { return slices.ContainsFunc(o.Readings, r.SameHole) })
}

func (f *PartFit) warn(b *body) {
	say := func(format string, a ...any) { f.Warnings = append(f.Warnings, fmt.Sprintf(format, a...)) }
	for _, h := range f.Holes {
		if h.Set != nil {
			f.Warnings = append(f.Warnings, h.Set.Warnings...)
		}
		if h.LeftOut {
			say("Hole %s does not fit the others and was left out of shift and rotation: it is off by X %+.4f, Y %+.4f mm (%+.5f, %+.5f in) from where they put it.", holeName(h.Hole), h.Residual.X, h.Residual.Y, h.Residual.X/MMPerInch, h.Residual.Y/MMPerInch)
		} else if h.Misfit {
			say("Hole %s does not fit the others; with so few holes it still counts.", holeName(h.Hole))
		}
	}
	for i, h := range f.Holes {
		for _, o := range f.Holes[:i] {
			if h.sharesPhoto(o.HoleReading) {
				say("Holes %s and %s were read from the same place in the same picture: one of them has the other's photo, so the part looks surer than it is.", holeName(o.Hole), holeName(h.Hole))
			}
		}
	}
	for _, w := range f.Walls {
		if w.LeftOut {
			say("Wall %s does not fit the rest and was left out: its step is %+.4f mm (%+.5f in) from where they put it. Look for a burr, a wrong sign or a wall that was cut by itself, and read it again.", w.Wall, w.ResidualMM, w.ResidualMM/MMPerInch)
		} else if w.Misfit {
			say("Wall %s does not fit the rest; with so little besides it still counts.", w.Wall)
		}
	}
	if f.PValue < misfitLevel && !f.Disputed() {
		say("The readings do not fit one rigid part: they depart by %.1f times what they state. The uncertainty was enlarged by that.", f.Scale)
	}
	if f.Disputed() {
		f.Warnings = append(f.Warnings, f.Compare.dispute())
	} else {
		f.warnOpen(b)
	}
	for i, w := range b.walls {
		if w.ResolutionMM <= 0 {
			say("Wall %s has no indicator resolution: 0.0005 in a division is assumed.", w.Name)
		}
		if s := b.steps[i]; s.N == 1 {
			say("Wall %s was read once: without a second reading its repeatability is guessed.", w.Name)
		}
	}
}

// warnOpen says what the readings leave open.
func (f *PartFit) warnOpen(b *body) {
	say := func(format string, a ...any) { f.Warnings = append(f.Warnings, fmt.Sprintf(format, a...)) }
	var open []string
	if !f.KnowsX {
		open = append(open, "X")
	}
	if !f.KnowsY {
		open = append(open, "Y")
	}
	if len(open) > 0 {
		say("The shift in %s cannot be told from these walls: read two opposite walls that face along it, or photograph a hole.", strings.Join(open, " and "))
	}
	switch {
	case f.KnowsRotation:
	case !b.turns:
		say("No rotation was fitted: not every hole has its place (hole_x, hole_y).")
	default:
		say("The rotation cannot be told from these readings and is taken as none: add a hole some way off.")
	}
	if f.TurnUnchecked {
		say("The rotation rests on the photos against the walls alone, and nothing checks it: a wrong sign on a wall looks the same. Photograph a second hole some way off.")
	}
}

// holeName is what a hole without a name is called.
func holeName(hole string) string {
	if hole == "" {
		return "without a name"
	}
	return hole
}
