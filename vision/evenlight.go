package vision

const (
	// evenLight is the least second wave of an edge's contrast, against its mean size, of
	// light that comes from two sides: of 600 drawn photos two lamps give 0.6 to 1.6, a ring, a
	// dome or light through the lens 0.01 to 0.2.
	evenLight = 0.5
	// mostUneven is the first wave, as a share of the second, above which one of the sides is
	// lit more than the other: of a lamp or a window it is 1.5 to 2.5, of two lamps 0.1 to 0.3.
	mostUneven = 0.5
)

// litFromOpposite says that rim k is lit from two opposite sides alike: its contrast
// goes twice through the same round it.
func (g *blocks) litFromOpposite(fits []arcFit, k int) bool {
	once, twice := g.contrastWave(fits, k, 1), g.contrastWave(fits, k, 2)
	return twice > evenLight && once < mostUneven*twice
}
