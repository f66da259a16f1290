package live

import "math"

func linearOf(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// foot is where the scale of equal ratios ends: an 8-bit picture has no more
// steps below.
const foot = 0.03

func ratioOf(v float64) float64 { return math.Log((v+foot)/foot) / math.Log((1+foot)/foot) }

// The normal distribution by table: a thousandth of a blur is all that is needed.
const (
	stepRange = 4.5
	stepSteps = 2048
)

var stepCDF, stepPDF = func() (c, p [stepSteps + 2]float64) {
	for i := range c {
		x := (float64(i)/stepSteps*2 - 1) * stepRange
		c[i], p[i] = 0.5*math.Erfc(-x/math.Sqrt2), math.Exp(-x*x/2)/math.Sqrt(2*math.Pi)
	}
	return c, p
}()

// step returns the normal distribution and its density at x.
func step(x float64) (cdf, pdf float64) {
	switch {
	case x <= -stepRange:
		return 0, 0
	case x >= stepRange:
		return 1, 0
	}
	f := (x/stepRange + 1) * (stepSteps / 2)
	i := int(f)
	f -= float64(i)
	return stepCDF[i] + f*(stepCDF[i+1]-stepCDF[i]), stepPDF[i] + f*(stepPDF[i+1]-stepPDF[i])
}
