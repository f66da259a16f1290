package model

import "math"

const (
	// cardOff is the share of job cards whose width is not the part's: a tool set wrongly, an
	// old drawing. It may be off up to twice, either way, by any ratio alike. Common practice,
	// no source.
	cardOff, cardRatio = 0.1, 2.0
	// cardSD is how well the others say it, as a share: a chamfer tool is set to some 0.01 mm.
	// Common practice, no source.
	cardSD = 0.04
)

// WidthDensity is how likely the job card makes it that the chamfer is widthMM wide, known to
// sdMM: a density, 1/mm; 1 where the card names no width. No width is ruled out: what is off by
// more than twice counts like what is off by less.
func (j JobCard) WidthDensity(widthMM, sdMM float64) float64 {
	if j.ChamferMM <= 0 {
		return 1
	}
	sd := math.Hypot(cardSD*j.ChamferMM, sdMM)
	right := math.Exp(-sq((widthMM-j.ChamferMM)/sd)/2) / (sd * math.Sqrt(2*math.Pi))
	return (1-cardOff)*right + cardOff/(2*math.Log(cardRatio)*j.ChamferMM)
}
