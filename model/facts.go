package model

import (
	"fmt"
	"math"
	"strings"
)

// Evidence is what is known when looking for the cause of a mismatch; anything
// may be missing.
type Evidence struct {
	Part    *PartFit
	Seams   []Seam
	Batch   *BatchFacts
	RawEdge bool // a face as sawn, cast or rolled was picked up as reference
}

// BatchFacts is what a batch of parts says.
type BatchFacts struct {
	N       int
	Mean    Vec  // mm
	MeanCov Sym2 // mm²
	// SpreadMM is the standard deviation from part to part along X and Y, the
	// readings' own uncertainty taken out.
	SpreadMM Vec
	// TrendMM is the change from the first part to the last, UTrendMM its standard
	// uncertainty.
	TrendMM, UTrendMM Vec
	Odd               []string // parts out of control
}

// Fact is a number that a rule can test.
type Fact string

const (
	FactAxisSigma   Fact = "mismatch along the larger axis over its uncertainty"
	FactAxisMM      Fact = "mismatch along the larger axis"
	FactAxisRatio   Fact = "larger axis over smaller axis"
	FactShiftMM     Fact = "size of the mismatch"
	FactShiftSigma  Fact = "mismatch over its uncertainty"
	FactTurnSigma   Fact = "rotation over its uncertainty"
	FactTurnMM      Fact = "what the rotation does at the outermost hole"
	FactRigidP      Fact = "probability that the part is one rigid body"
	FactMisfits     Fact = "holes that don't fit the others"
	FactGrowthSigma Fact = "growth of the pattern over its uncertainty"
	FactGrowthK     Fact = "warming of 6061 aluminium that would explain the growth"
	FactWidthSigma  Fact = "mean width less nominal over its uncertainty"
	FactWidthMM     Fact = "mean width less nominal"
	FactSizeSigma   Fact = "size difference over its uncertainty"
	FactSizeMM      Fact = "size difference"
	FactBothProud   Fact = "pairs of opposite walls both proud or both shy"
	FactEn          Fact = "largest E_n of photos against indicator"
	FactOddWalls    Fact = "walls that don't fit the rest"
	FactBurrMM      Fact = "height of a burr at the seam"
	FactOvalSigma   Fact = "oval of the width curve over its uncertainty"
	FactOvalMM      Fact = "oval of the width curve"
	FactLobesSigma  Fact = "four lobes of the width curve over their uncertainty"
	FactLobesMM     Fact = "four lobes of the width curve"
	FactExitSeen    Fact = "exit rim seen in every photo"
	FactBatchN      Fact = "parts in the batch"
	FactBatchSigma  Fact = "batch mean over its uncertainty"
	FactBatchSteady Fact = "spread from part to part over batch mean"
	FactSpreadMM    Fact = "spread from part to part along the larger axis"
	FactTrendSigma  Fact = "trend over the batch over its uncertainty"
	FactTrendMM     Fact = "trend over the batch"
	FactOdd         Fact = "parts out of control"
	FactRawEdge     Fact = "raw face picked up"
)

// Facts are the numbers that evidence yields; what isn't known is absent.
type Facts struct {
	Value map[Fact]float64
	Axis  string // "X" or "Y": the larger one
	Walls string // of what FactOddWalls counts
	Names string // of what FactMisfits or FactOdd counts
}

// FactsOf reduces evidence to facts.
func FactsOf(e Evidence) Facts {
	f := Facts{Value: map[Fact]float64{}}
	f.fromBatch(e)
	f.fromPart(e)
	for _, s := range e.Seams {
		f.Value[FactBurrMM] = math.Max(f.Value[FactBurrMM], s.BurrMM)
	}
	if e.RawEdge {
		f.Value[FactRawEdge] = 1
	}
	return f
}

// fromShift states a mismatch and how it lies to the axes.
func (f *Facts) fromShift(d Vec, cov Sym2) {
	x, y := math.Abs(d.X), math.Abs(d.Y)
	ux, uy := math.Max(sqrt0(cov.XX), leastU), math.Max(sqrt0(cov.YY), leastU)
	f.Axis = "X"
	large, small, ul, us := x, y, ux, uy
	if y > x {
		f.Axis = "Y"
		large, small, ul, us = y, x, uy, ux
	}
	f.Value[FactAxisSigma], f.Value[FactAxisMM] = large/ul, large
	// The small one may be as large as twice its uncertainty.
	f.Value[FactAxisRatio] = large / math.Max(small, 2*us)
	f.Value[FactShiftMM] = d.Norm()
	f.Value[FactShiftSigma] = math.Sqrt(cov.Mahalanobis2(d))
}

func (f *Facts) fromPart(e Evidence) {
	p := e.Part
	if p == nil {
		return
	}
	if p.KnowsX && p.KnowsY {
		centre, far := Vec{}, 0.0
		places := p.places()
		for _, r := range places {
			centre = centre.Add(r.Scale(1 / float64(len(places))))
		}
		for _, r := range places {
			far = math.Max(far, r.Sub(centre).Norm())
		}
		d, cov := p.At(centre)
		if e.Batch == nil || e.Batch.N < 2 {
			f.fromShift(d, cov)
		}
		if p.KnowsRotation && p.Cov[pTurn][pTurn] > 0 {
			f.Value[FactTurnSigma] = math.Abs(p.RotationRad) / math.Sqrt(p.Cov[pTurn][pTurn])
			f.Value[FactTurnMM] = math.Abs(p.RotationRad) * far
		}
	}
	if p.DOF > 0 {
		f.Value[FactRigidP] = p.PValue
	}
	if p.UGrowthPPM > 0 {
		f.Value[FactGrowthSigma] = math.Abs(p.GrowthPPM) / p.UGrowthPPM
		f.Value[FactGrowthK] = math.Abs(p.GrowthPPM) * 1e-6 / Expansion6061
	}
	if p.KnowsSize {
		f.Value[FactSizeMM] = math.Abs(p.SizeMM)
		f.Value[FactSizeSigma] = math.Abs(p.SizeMM) / math.Max(math.Sqrt(p.Cov[pSize][pSize]), leastU)
	}
	for _, w := range p.Pairs {
		if w.Says == PairSize || w.Says == PairBoth {
			f.Value[FactBothProud]++
		}
	}
	if c := p.Compare; c != nil && c.Compares {
		f.Value[FactEn] = c.EnTogether
	}
	for _, w := range p.Walls {
		if w.Misfit {
			f.Value[FactOddWalls]++
			f.Walls = strings.TrimPrefix(f.Walls+", "+w.Wall, ", ")
		}
	}
	f.fromHoles(p)
}

// leastWaveMM is the smallest oval or lobe that counts (common practice, no
// source).
const leastWaveMM = 0.0015

func (f *Facts) fromHoles(p *PartFit) {
	var excess, u, n float64
	var ovals, lobed []WaveOf
	exit := 1.0
	photos := 0
	for _, h := range p.Holes {
		if h.Misfit {
			f.Value[FactMisfits]++
			f.name(holeName(h.Hole))
		}
		if h.Job.ChamferMM > 0 && h.WidthMM > 0 {
			excess += h.WidthMM - h.Job.ChamferMM
			u = math.Max(u, h.WidthUMM) // mostly the same in all: not averaged
			n++
		}
		for _, r := range h.Readings {
			photos++
			if r.Exit == nil {
				exit = 0
			}
			two, four := r.Waves()
			ovals, lobed = append(ovals, two), append(lobed, four)
		}
	}
	oval, lobes := meanWave(ovals), meanWave(lobed)
	if n > 0 && u > 0 {
		f.Value[FactWidthMM] = math.Abs(excess / n)
		f.Value[FactWidthSigma] = math.Abs(excess/n) / u
	}
	if photos > 0 {
		f.Value[FactExitSeen] = exit
	}
	// A wave of less than that is no concern, however surely it is seen.
	if oval.Measured && oval.MM >= leastWaveMM {
		f.Value[FactOvalSigma], f.Value[FactOvalMM] = oval.Sigma(), oval.MM
	}
	if lobes.Measured && lobes.MM >= leastWaveMM {
		f.Value[FactLobesSigma], f.Value[FactLobesMM] = lobes.Sigma(), lobes.MM
	}
}

func (f *Facts) fromBatch(e Evidence) {
	b := e.Batch
	if b == nil || b.N < 2 {
		return
	}
	f.fromShift(b.Mean, b.MeanCov)
	f.Value[FactBatchN] = float64(b.N)
	f.Value[FactBatchSigma] = math.Sqrt(b.MeanCov.Mahalanobis2(b.Mean))
	if m := b.Mean.Norm(); m > 0 {
		f.Value[FactBatchSteady] = b.SpreadMM.Norm() / m
	}
	f.Value[FactSpreadMM] = b.SpreadMM.X
	if f.Axis == "Y" {
		f.Value[FactSpreadMM] = b.SpreadMM.Y
	}
	if b.UTrendMM.X > 0 && b.UTrendMM.Y > 0 {
		f.Value[FactTrendSigma] = math.Max(math.Abs(b.TrendMM.X)/b.UTrendMM.X, math.Abs(b.TrendMM.Y)/b.UTrendMM.Y)
		f.Value[FactTrendMM] = b.TrendMM.Norm()
	}
	f.Value[FactOdd] = float64(len(b.Odd))
	for _, name := range b.Odd {
		f.name(name)
	}
}

func (f *Facts) name(s string) {
	if f.Names != "" {
		f.Names += ", "
	}
	f.Names += s
}

// small writes a small length for shops that work in mm and for those that work in inches.
func small(mm float64) string { return fmt.Sprintf("%.1f um (%.4f in)", 1000*mm, mm/MMPerInch) }

// words writes a fact's value as a machinist reads it.
func (f Facts) words(fact Fact) string {
	v := f.Value[fact]
	switch fact {
	case FactAxisMM, FactShiftMM, FactTurnMM, FactWidthMM, FactSizeMM, FactBurrMM, FactOvalMM, FactLobesMM, FactSpreadMM, FactTrendMM:
		return small(v)
	case FactGrowthK:
		return fmt.Sprintf("%.1f K", v)
	case FactRigidP:
		return Percent(v)
	case FactBatchSteady: // no probability: may be more than all
		return fmt.Sprintf("%.0f %%", 100*v)
	case FactMisfits, FactOddWalls, FactOdd, FactBothProud, FactBatchN:
		return fmt.Sprintf("%.0f", v)
	}
	if v > 99 {
		return "over 99"
	}
	return fmt.Sprintf("%.1f", v)
}
