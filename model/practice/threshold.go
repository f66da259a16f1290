package practice

import "time"

// Threshold is the smallest mismatch that a person's eye catches, as a share of
// the chamfer's width: the one whose wide side they name rightly three times in
// four, with four sides to choose from. It holds for a picture shown as the test
// showed it; on a smaller or worse picture an eye catches less.
type Threshold struct {
	Person string // nickname
	Share  float64
	// Low95 and High95 bound the 95 % credible interval of Share.
	Low95, High95 float64
	Trials        int
	// Sure says that the interval is narrow enough to plan with.
	Sure bool
	// HolePt and WidthPt are how large the test showed the bore's diameter and the
	// chamfer's width, in the window's own points (about 1/96 in on most screens).
	HolePt, WidthPt float64
	At              time.Time
}

// MM is the mismatch caught on a chamfer of the given width with its 95 %
// interval, mm.
func (t Threshold) MM(chamferMM float64) (mm, low95, high95 float64) {
	return t.Share * chamferMM, t.Low95 * chamferMM, t.High95 * chamferMM
}

// Known reports whether t was measured at all.
func (t Threshold) Known() bool { return t.Trials > 0 && t.Share > 0 }
