package vision

import "math"

// What an outer edge must gain against the best circle of marks elsewhere on the face: plainerThanMarks
// times as much, and plainerOnCard times where the chamfer comes out as wide as on the card. Drawn
// holes without a chamfer, taken for one with, have 0.7 to 1.3 times as much; of 5,869 drawn
// photos that are read seven rightly ones have less than 1.5, one less than 1.15, and three that are not.
const plainerThanMarks, plainerOnCard = 1.5, 1.15

// overMarks is what g's outer edge must gain not to be a circle of marks.
func (m *regionMap) overMarks(g rimGuess, e expectation) float64 {
	if e.job.ChamferMM > 0 && e.asOnCard(g) {
		return plainerOnCard * m.marksGain(g)
	}
	return plainerThanMarks * m.marksGain(g)
}

// marksGain is the most that a circle gains on the face round g's outer edge, where there is no
// rim: tool marks follow some circle by chance, the better the fewer and the bolder they are.
func (m *regionMap) marksGain(g rimGuess) float64 {
	const radii, ways = 8, 6
	var at tally
	m.judge(&at, g, expectation{}, 1, wholeHole)
	outer := g.br * (1 + g.w)
	room := m.rho0 + float64(m.n) - outer
	most := 0.0
	for k := 1; k < radii; k++ {
		start := g
		start.w = (outer+room*float64(k)/radii)/g.br - 1
		most = math.Max(most, m.climbMarks(&at, start))
		// Aside as well, by half the room to the nearer border.
		aside := room * float64(min(k, radii-k)) / radii / 2 / g.br
		for j := range ways {
			sn, co := math.Sincos(2 * math.Pi * float64(j) / ways)
			c := start
			c.dx, c.dy = c.dx+aside*co, c.dy+aside*sn
			most = math.Max(most, m.climbMarks(&at, c))
		}
	}
	return most
}

// climbMarks moves the circle that c has for an outer edge to where it gains most, and returns that.
func (m *regionMap) climbMarks(at *tally, c rimGuess) float64 {
	most := m.gainOnFace(at, c)
	for step := 0.02; step > 0.001; step /= 2 {
		for climbed := true; climbed; {
			climbed = false
			for k := firstOuterStep; k <= lastOuterStep; k++ {
				for _, s := range [2]float64{step, -step} {
					t := c.stepped(k, s)
					if gain := m.gainOnFace(at, t); gain > most {
						c, most, climbed = t, gain, true
					}
				}
			}
		}
	}
	return most
}

// gainOnFace is what the circle that c has for an outer edge gains, on the mean of the directions;
// less than nothing where it meets the rims in at.
func (m *regionMap) gainOnFace(at *tally, c rimGuess) float64 {
	const clear = 4.0 // px, of blur and softness of the outer edge and the ring's border
	var circle [sectors]float64
	m.cross(&circle, c.bx+c.dx*c.br, c.by+c.dy*c.br, c.br*(1+c.w), 1)
	sum := 0.0
	for k, o := range circle {
		inside, outside := o-at.outer[k], float64(m.n)-o
		if inside < clear {
			return -1
		}
		if outside >= clear {
			sum += m.gain(k, o, math.Min(inside, besideRim), math.Min(outside, besideRim))
		}
	}
	return sum / sectors
}
