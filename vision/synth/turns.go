package synth

import (
	"fmt"
	"math"
)

// MostTurns is the most photos of one hole in a set.
const MostTurns = 12

// handTurn is how far a hand misses the turn it wants, rad, one standard deviation.
const handTurn = 1 * deg

// RandomTurned returns photo i of a set of random holes, the lights in turn, each of which is
// photographed turns times (1 to MostTurns), turned by hand in even steps under a camera and light
// that stay. seed is the first hole's. With one photo of each it is Random.
func RandomTurned(seed uint64, i, turns int) Scene {
	hole, photo := i/turns, i%turns
	s := Random(seed+uint64(hole), Lights[hole%len(Lights)]).WithDefaults()
	if turns == 1 {
		return s
	}
	s.series = fmt.Sprintf("hole-%05d", hole+1)
	for k := range photo {
		hand := dice{stream(s.Seed, fmt.Sprintf("turn %d", k+1))}
		s = s.Turned(2*math.Pi/float64(turns) + handTurn*hand.NormFloat64())
	}
	return s
}
