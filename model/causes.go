package model

import (
	"math"
	"sort"
	"strings"
)

// Cause is a likely cause of a mismatch with what speaks for it.
type Cause struct {
	ID, Title string
	Score     float64  // the sum of the signs' weights
	Rank      int      // 1 = likeliest; equal for ties
	Tied      bool     // the evidence does not tell it from the others of its rank
	Evidence  []string // never empty
	Against   []string
	Check     string // what would confirm it
}

// Sign is one piece of evidence: a fact within limits.
type Sign struct {
	Fact Fact
	Is   Limits
	// Weight is how much it speaks for the cause (> 0) or against it (< 0): 1 = it
	// fits, 2 = typical, 3 = nothing else does this. A judgement, no source.
	Weight float64
	Must   bool   // without it the cause isn't considered
	Says   string // {} = the fact's value, {axis}, {names} and {walls} as they are
}

// Limits is a range of a fact, ends included.
type Limits struct{ Low, High float64 }

func atLeast(x float64) Limits    { return Limits{x, math.Inf(1)} }
func atMost(x float64) Limits     { return Limits{math.Inf(-1), x} }
func between(a, b float64) Limits { return Limits{a, b} }

func (l Limits) hold(v float64) bool { return v >= l.Low && v <= l.High }

// Rule is a row of the table of causes.
type Rule struct {
	ID, Title string
	Signs     []Sign
	Check     string
	// Needs says which measurement the cause needs; where none of its facts is
	// known, it is listed as one that cannot be told.
	Needs string
}

// real3 is the significance from which a sign counts: three standard
// uncertainties, 0.3 % by chance. waveReal is 0.1 % in the plane.
const (
	real3    = 3.0
	waveReal = 3.7
)

// needsBatch says where several parts are looked at.
const needsBatch = "It needs several parts of a batch: evenrim batch and the Batches page's What to move look for it."

// Rules is the table of causes (common practice, no source, except where it
// says otherwise).
var Rules = []Rule{
	{
		ID: "one-face", Title: "The reference face was picked up on different surfaces in the two setups",
		Signs: []Sign{
			{FactAxisSigma, atLeast(real3), 0, true, ""},
			{FactAxisRatio, atLeast(5), 2, true, "The mismatch lies along {axis} alone, {} times more than across it."},
			{FactBatchSteady, atMost(0.3), 1, false, "It is the same from part to part: the spread is {} of the mean."},
			{FactTurnSigma, atLeast(real3), -1, false, "The part is also turned, {} times its uncertainty: one face alone doesn't do that."},
			{FactBatchSteady, atLeast(1), -1, false, "It changes from part to part: the spread is {} of the mean."},
			{FactTrendSigma, atLeast(real3), -1, false, "It drifts over the batch, {} times its uncertainty: a face doesn't move."},
		},
		Check: "Touch off in both setups on the same surface at the same height, or indicate setup 1's reference face from setup 2's zero.",
	},
	{
		ID: "raw-edge", Title: "A raw edge (sawn, cast, rolled) served as reference",
		Signs: []Sign{
			{FactAxisRatio, atLeast(5), 1, true, "The mismatch lies along {axis} alone, {} times more than across it."},
			{FactAxisMM, atLeast(0.0254), 1, true, "It is {}: a raw cut gives several thou along its normal."},
			{FactRawEdge, atLeast(1), 2, false, "A raw face was picked up."},
			{FactSpreadMM, atLeast(0.02), 1, false, "It changes from part to part by {}, as saw cuts do."},
			{FactBatchSteady, atMost(0.3), -1, false, "It is the same from part to part (spread {} of the mean): saw cuts differ."},
			{FactTurnSigma, atLeast(real3), 1, false, "The part is also turned, {} times its uncertainty: a raw face isn't straight."},
		},
		Check: "Clean the face up first and make another part: the mismatch should then be under 0.001 in.",
	},
	{
		ID: "wrong-sign", Title: "Wrong corner or flip axis: a correction or zero with the wrong sign",
		Signs: []Sign{
			{FactShiftMM, atLeast(0.5), 1, false, "The mismatch is {}: more than a pick-up goes wrong by."},
			{FactShiftSigma, atLeast(real3), 0, true, ""},
		},
		Check: "Undo the last correction, or try it with the other sign on one part; check which axis the part was turned over about and from which corner each setup is programmed.",
	},
	{
		ID: "chip", Title: "A chip or burr under the part or at the stop",
		Signs: []Sign{
			{FactOdd, atLeast(1), 2, false, "{names} stands out from the batch; the others don't show it."},
			{FactTurnSigma, atLeast(real3), 1, false, "The part is turned, {} times the uncertainty: one end was held off."},
			{FactBatchSteady, atMost(0.3), -2, false, "All parts show the same (spread {} of the mean): a chip doesn't stay."},
			{FactShiftSigma, atLeast(real3), 0, true, ""},
		},
		Check: "Clean vise, stop and part, stone the burrs off, clamp the same part again and photograph a hole of the next one.",
	},
	{
		ID: "clamped-turned", Title: "The part was clamped turned",
		Signs: []Sign{
			{FactTurnSigma, atLeast(real3), 2, true, "The pattern of holes is turned, {} times its uncertainty."},
			{FactTurnMM, atLeast(0.00254), 0, true, ""},
			{FactRigidP, atLeast(0.05), 1, false, "All holes follow the one rotation (probability {})."},
			{FactMisfits, atLeast(1), -1, false, "Hole {names} doesn't follow it."},
		},
		Check: "Indicate a finished edge along the jaw in setup 2; check the jaw, the stop and the vise's own alignment.",
	},
	{
		ID: "chamfer-tool", Title: "The chamfer tool's set diameter or length is wrong",
		Signs: []Sign{
			{FactWidthSigma, atLeast(real3), 1, true, "The mean chamfer is off its nominal width by {} times the uncertainty."},
			{FactWidthMM, atLeast(0.01), 1, true, "That is {}, the same all round: width, not mismatch."},
		},
		Check: "Measure the tool's length and tip again. The mean width has nothing to do with the mismatch; correct the two apart.",
	},
	{
		ID: "size", Title: "A size difference between the setups: cutter compensation, wear or deflection",
		Needs: "It needs indicator readings on opposite walls, or on one wall besides a photo, that don't contradict the rest.",
		Signs: []Sign{
			{FactSizeSigma, atLeast(real3), 2, true, "The walls differ in size by {} times the uncertainty."},
			{FactSizeMM, atLeast(0.00254), 0, true, ""},
			{FactBothProud, atLeast(1), 1, false, "Opposite walls are both proud or both shy."},
		},
		Check: "Measure the two halves with a micrometer; compare the cutters' wear offsets and the finishing passes.",
	},
	{
		ID: "probe", Title: "The probe or edge finder is not calibrated",
		Needs: needsBatch,
		Signs: []Sign{
			{FactBatchN, atLeast(4), 0, true, ""},
			{FactBatchSigma, atLeast(real3), 0, true, ""},
			{FactBatchSteady, atMost(0.3), 2, true, "The mismatch is the same on all parts: the spread is {} of the mean."},
			{FactAxisRatio, atMost(3), 1, false, "It shows in both axes (larger over smaller {})."},
			{FactTrendSigma, atLeast(real3), -1, false, "It drifts over the batch, {} times its uncertainty: a calibration doesn't."},
		},
		Check: "Calibrate the probe on a ring, or pick up a bored hole from both sides with an indicator and compare.",
	},
	{
		ID: "drift", Title: "Thermal drift or wear in the course of the batch",
		Needs: needsBatch,
		Signs: []Sign{
			{FactTrendSigma, atLeast(real3), 3, true, "The mismatch drifts by {} times its uncertainty over the batch."},
			{FactTrendMM, atLeast(0.00254), 0, true, ""},
		},
		Check: "Note spindle time and temperature beside the parts; pick up zero again at midday and see whether it jumps back.",
	},
	{
		// 6061 aluminium: 23.6e-6/K (data sheets).
		ID: "growth", Title: "The part had another temperature in setup 2 than in setup 1",
		Signs: []Sign{
			{FactGrowthSigma, atLeast(real3), 1, true, "Setup 2's pattern of holes has another size than setup 1's, {} times the uncertainty."},
			{FactGrowthK, between(1, 25), 1, true, "{} of warming would do that to 6061 aluminium (23.6 um per metre and kelvin)."},
		},
		Check: "Let the part cool before the second setup; measure a long distance in both.",
	},
	{
		ID: "backlash", Title: "Backlash or a reversal error: the bore is not round",
		Signs: []Sign{
			{FactLobesSigma, atLeast(waveReal), 2, false, "The chamfer's width has four lobes, {} times their uncertainty: reversals at the quadrants."},
			{FactOvalSigma, atLeast(waveReal), 1, false, "It is oval, {} times the uncertainty."},
			{FactExitSeen, atMost(0), -1, false, "The exit rim isn't seen: a camera off square looks oval, too."},
		},
		Check: "Gauge the bore across X, Y and both diagonals; mill a circle both ways round and compare.",
	},
	{
		ID: "camera", Title: "The camera did not look square: no fault of the part",
		Signs: []Sign{
			{FactOvalSigma, atLeast(waveReal), 2, true, "The width curve is oval, {} times its uncertainty."},
			{FactExitSeen, atMost(0), 1, true, "No exit rim is seen that would tell the view direction."},
			{FactLobesSigma, atLeast(waveReal), -1, false, "It also has four lobes ({} times): no camera does that."},
		},
		Check: "Put white paper under the hole, or turn the part by half a turn under the camera and photograph it again.",
	},
	{
		ID: "odd-hole", Title: "A hole was cut off its place by itself",
		Signs: []Sign{
			{FactMisfits, atLeast(1), 2, true, "Hole {names} doesn't fit where the others put it."},
			{FactMisfits, atLeast(3), -1, false, "There are {} of them."},
		},
		Check: "Photograph it again; then look at its drill, its chamfer and its place in both programs.",
	},
	{
		ID: "odd-wall", Title: "A wall was read or cut wrong by itself",
		Signs: []Sign{
			{FactOddWalls, atLeast(1), 2, true, "Wall {walls} doesn't fit where the rest puts it."},
		},
		Check: "Stone the seam and read it again; check which half was proud and which way the wall faces; then look at its cutter path in both programs.",
	},
	{
		ID: "seam-burr", Title: "A burr at the seam: the step read over it is too high",
		Signs: []Sign{
			{FactBurrMM, atLeast(0.0025), 2, true, "The trace jumps by {} at the seam, and neither side's level carries it on."},
		},
		Check: "Stone the seam and read the step again, clear of it on both sides.",
	},
	{
		ID: "crossed-signs", Title: "Photos and indicator don't use the same axes",
		Signs: []Sign{
			{FactEn, atLeast(1), 2, true, "Photos and indicator disagree: E_n is {}."},
			{FactEn, atLeast(3), 1, false, "By far."},
		},
		Check: "Check the +X arrow on the photo, each wall's normal, and which half was proud.",
	},
	{
		ID: "fixture", Title: "The clamping does not repeat",
		Needs: needsBatch,
		Signs: []Sign{
			{FactBatchN, atLeast(4), 0, true, ""},
			{FactBatchSteady, atLeast(0.7), 1, true, "The parts scatter by {} of the mean mismatch."},
			{FactSpreadMM, atLeast(0.005), 1, true, "That is {} along {axis}: no offset takes it out."},
			{FactOdd, atLeast(1), -1, false, "{names} alone stands out."},
		},
		Check: "Clamp one part several times without cutting and indicate it; check stop, jaws and clamping force.",
	},
}

// tie is how close scores have to be for the evidence not to tell them apart.
const tie = 0.5

// Causes ranks the likely causes. A cause without evidence, or with more against
// it than for it, isn't in the list. cannotTell says of those that need another
// measurement which one, together where they need the same.
func Causes(e Evidence) (causes []Cause, cannotTell []string) {
	facts := FactsOf(e)
	untold := map[string][]string{} // titles by what they need
	var needs []string
	for _, r := range Rules {
		c, known := r.apply(facts)
		switch {
		case len(c.Evidence) > 0 && c.Score > 0:
			causes = append(causes, c)
		case !known && r.Needs != "":
			if untold[r.Needs] == nil {
				needs = append(needs, r.Needs)
			}
			untold[r.Needs] = append(untold[r.Needs], r.Title)
		}
	}
	for _, n := range needs {
		cannotTell = append(cannotTell, strings.Join(untold[n], "; ")+": cannot be told. "+n)
	}
	sort.SliceStable(causes, func(i, j int) bool { return causes[i].Score > causes[j].Score })
	for i := range causes {
		causes[i].Rank = i + 1
		if i > 0 && causes[i-1].Score-causes[i].Score < tie {
			causes[i].Rank = causes[i-1].Rank
			causes[i].Tied, causes[i-1].Tied = true, true
		}
	}
	return causes, cannotTell
}

// apply weighs a rule; known says that all its conditions could be tested.
func (r Rule) apply(f Facts) (c Cause, known bool) {
	c = Cause{ID: r.ID, Title: r.Title, Check: r.Check}
	known, holds := true, true
	for _, s := range r.Signs {
		v, have := f.Value[s.Fact]
		hit := have && s.Is.hold(v)
		if s.Must {
			known = known && have
			holds = holds && hit
		}
		if !hit {
			continue
		}
		c.Score += s.Weight
		says := strings.NewReplacer("{}", f.words(s.Fact), "{axis}", f.Axis, "{names}", f.Names, "{walls}", f.Walls).Replace(s.Says)
		switch {
		case s.Weight > 0:
			c.Evidence = append(c.Evidence, says)
		case s.Weight < 0:
			c.Against = append(c.Against, says)
		}
	}
	if !holds {
		return Cause{}, known
	}
	return c, known
}
