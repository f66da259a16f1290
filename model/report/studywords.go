package report

import (
	"fmt"
	"math"

	"evenrim/model/batch"
	"evenrim/model/chart"
)

// StudyWords say what a repeatability study along one axis found.
func StudyWords(axis string, s batch.Study, u chart.Unit) []string {
	d := u.Decimals(s.Reading.Value / 3)
	sd := func(i batch.Interval) string {
		if i.Value == 0 {
			return fmt.Sprintf("none shown (95 %%: up to %s %s)", u.Format(i.High, d), u)
		}
		return fmt.Sprintf("%s %s (95 %%: %s to %s)", u.Format(i.Value, d), u, u.Format(i.Low, d), u.Format(i.High, d))
	}
	share := func(i batch.Interval) string {
		return fmt.Sprintf("%.0f %% (95 %%: %.0f to %.0f %%)", 100*i.Value, 100*i.Low, 100*i.High)
	}
	inter := fmt.Sprintf("Persons disagree on some parts more than chance explains (F %.2f, p %.2g): it counts as reproducibility.", s.FInteraction, s.PInteraction)
	if s.Pooled {
		inter = fmt.Sprintf("Persons agree alike on all parts (F %.2f, p %.2g): the rest counts as repeatability.", s.FInteraction, s.PInteraction)
	}
	out := []string{
		fmt.Sprintf("%s: %d parts, %d persons, %d readings each. One standard deviation of", axis, s.Parts, s.Persons, s.Trials),
		"the same person on the same part: " + sd(s.Repeatability) + ";",
		"one person against another: " + sd(s.Reproducibility) + ";",
		"a reading as a whole: " + sd(s.Reading) + ";",
		"the parts themselves: " + sd(s.PartToPart) + ".",
	}
	if f := s.ToleranceShare; !math.IsInf(f.Value, 0) && !math.IsNaN(f.Value) {
		words := studyJudge(f.Value)
		// What the study cannot tell apart it must not promise.
		if worst := studyJudge(f.High); worst != words {
			words += " So few readings do not settle it: it may be " + worst
		}
		out = append(out, "Six standard deviations of a reading take "+share(f)+" of the tolerance band: "+words)
	}
	out = append(out, "Of all scatter the readings make "+share(s.StudyShare)+fmt.Sprintf("; %.0f kinds of parts can be told apart.", math.Floor(s.Distinct)), inter)
	for _, w := range s.Warnings {
		out = append(out, "Caution: "+sentence(w))
	}
	return out
}

// studyJudge is the usual reading of the share (10 and 30 % by AIAG Measurement
// Systems Analysis, from memory).
func studyJudge(share float64) string {
	switch {
	case share <= 0.1:
		return "good enough for this tolerance."
	case share <= 0.3:
		return "good enough for some uses; a turn set or a closer photo would help."
	}
	return "not good enough to judge single parts by."
}
