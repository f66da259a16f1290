package accuracy

import (
	"math"

	"evenrim/model"
)

// zonesOfEach is how many zones are laid about each truth, zoneReach how far beyond the
// zone's own size they reach, in standard deviations of the reading.
const zonesOfEach, zoneReach = 64, 4.0

// EvenReliability is Reliability with tolerance zones laid evenly about each photo's true
// mismatch in place of the one zone about nothing. The mismatches of a set lie closer to
// nothing the rarer large ones are, so that of readings near the limit more are within than
// any reading can know: that says something of the set. A reading's probability assumes no
// mismatch likelier than another, and with zones laid so none is. N and K count photos'
// worth of zones.
func EvenReliability(cases []Case) []Trust {
	// Steps of the plane's evenest sequence (R2: Roberts 2018, from memory).
	const stepX, stepY = 0.7548776662466927, 0.5698402909980532
	sums := make([]trustSum, len(trustEdges)-1)
	x, y := 0.5, 0.5
	for _, c := range cases {
		if c.Refused != "" || !c.HasHole {
			continue
		}
		major, _, _ := c.Cov.Eigen()
		reach := c.ToleranceMM + zoneReach*math.Sqrt(math.Max(major, 0))
		for range zonesOfEach {
			x, y = math.Mod(x+stepX, 1), math.Mod(y+stepY, 1)
			truth := model.Vec{X: (2*x - 1) * reach, Y: (2*y - 1) * reach} // from the zone's middle
			p := model.PWithinPhoto(truth.Add(c.Off), c.Cov, c.ToleranceMM, c.Zone)
			s := &sums[trustLine(p)]
			s.n, s.stated = s.n+1, s.stated+p
			if inZone(truth, c.ToleranceMM, c.Zone) {
				s.within++
			}
		}
	}
	return trusts(sums, zonesOfEach)
}

func inZone(d model.Vec, toleranceMM float64, zone model.Zone) bool {
	if zone == model.SquareZone {
		return math.Max(math.Abs(d.X), math.Abs(d.Y)) <= toleranceMM
	}
	return d.Norm() <= toleranceMM
}
