package vision

import (
	"math"
)

// The normal distribution by table: the fit evaluates it for every pixel many
// times, and a thousandth of the blur is all the accuracy it can use.
const (
	cdfRange = 5.0
	cdfSteps = 4096
)

var cdfTable, pdfTable = func() (c, p [cdfSteps + 2]float64) {
	for i := range c {
		x := (float64(i)/cdfSteps*2 - 1) * cdfRange
		c[i] = 0.5 * math.Erfc(-x/math.Sqrt2)
		p[i] = math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
	}
	return c, p
}()

func normalCDF(x float64) float64 {
	if x <= -cdfRange {
		return 0
	}
	if x >= cdfRange {
		return 1
	}
	f := (x/cdfRange + 1) * (cdfSteps / 2)
	i := int(f)
	return cdfTable[i] + (f-float64(i))*(cdfTable[i+1]-cdfTable[i])
}

func normalPDF(x float64) float64 {
	if x <= -cdfRange || x >= cdfRange {
		return 0
	}
	f := (x/cdfRange + 1) * (cdfSteps / 2)
	i := int(f)
	return pdfTable[i] + (f-float64(i))*(pdfTable[i+1]-pdfTable[i])
}
