package synth

import (
	"math"
	"math/rand/v2"
)

// stream returns a random generator of its own for each use, so that changing
// one effect of a scene leaves the others as they were.
func stream(seed uint64, use string) *rand.Rand {
	h := uint64(14695981039346656037) // FNV-1a
	for i := range len(use) {
		h = (h ^ uint64(use[i])) * 1099511628211
	}
	return rand.New(rand.NewPCG(seed, h))
}

// mix is the finaliser of splitmix64 (Steele, Lea & Flood 2014): a hash that
// gives every pixel its own noise, whoever draws it and in whatever order.
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9
	x = (x ^ (x >> 27)) * 0x94d049bb133111eb
	return x ^ (x >> 31)
}

// quantiles of the standard normal, scaled so that the sum of two independent
// draws has unit variance.
var quantiles = func() (q [1 << 12]float32) {
	n := float64(len(q))
	var sum2 float64
	for i := range q {
		x := math.Sqrt2 * math.Erfinv(2*(float64(i)+0.5)/n-1)
		q[i] = float32(x)
		sum2 += x * x
	}
	k := float32(1 / math.Sqrt(2*sum2/n))
	for i := range q {
		q[i] *= k
	}
	return q
}()

// normals3 returns three independent standard normal draws of pixel i, each
// the sum of two table quantiles: normal to within 5 sd.
func normals3(seed, i uint64) (a, b, c float32) {
	h := mix(seed ^ mix(i))
	g := mix(h)
	const m = 1<<12 - 1
	a = quantiles[h&m] + quantiles[h>>12&m]
	b = quantiles[h>>24&m] + quantiles[h>>36&m]
	c = quantiles[g&m] + quantiles[g>>12&m]
	return a, b, c
}

// lattice is smooth random height over the plane: value noise on the integer
// lattice, in -1..1, with rms near 0.44.
type lattice uint64

func (l lattice) node(x, y int) float64 {
	// A short 32-bit hash of the same kind as mix: this runs for every pixel.
	h := uint32(x)*0x9e3779b1 ^ uint32(y)*0x85ebca77 ^ uint32(l) ^ uint32(l>>32)*0xc2b2ae3d
	h = (h ^ h>>15) * 0x2c1b3c6d
	h = (h ^ h>>12) * 0x297a2d39
	return float64(int32(h^h>>15)) / (1 << 31)
}

func (l lattice) at(x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int(fx), int(fy)
	x, y = x-fx, y-fy
	x, y = x*x*(3-2*x), y*y*(3-2*y)
	a, b := l.node(ix, iy), l.node(ix+1, iy)
	c, d := l.node(ix, iy+1), l.node(ix+1, iy+1)
	return (a+(b-a)*x)*(1-y) + (c+(d-c)*x)*y
}

// track is smooth random height along a closed line, linear between its values.
type track []float32

// newTrack returns n values of unit rms, white noise smoothed with sd nodes.
func newTrack(rng *rand.Rand, n int, sd float64) track {
	white := make([]float64, n)
	for i := range white {
		white[i] = rng.NormFloat64()
	}
	reach := min(int(4*sd)+1, n)
	kernel := make([]float64, 2*reach+1)
	for i := range kernel {
		d := float64(i-reach) / max(sd, 1e-6)
		kernel[i] = math.Exp(-d * d / 2)
	}
	t := make(track, n)
	var sum, sum2 float64
	out := make([]float64, n)
	for i := range out {
		for j, k := range kernel {
			out[i] += k * white[((i+j-reach)%n+n)%n]
		}
		sum += out[i]
	}
	mean := sum / float64(n)
	for i := range out {
		sum2 += (out[i] - mean) * (out[i] - mean)
	}
	scale := 1 / math.Sqrt(max(sum2/float64(n), 1e-300))
	for i := range out {
		t[i] = float32((out[i] - mean) * scale)
	}
	return t
}

// at returns the height at x nodes from the first.
func (t track) at(x float64) float64 {
	f := math.Floor(x)
	n := len(t)
	i := int(f) % n
	if i < 0 {
		i += n
	}
	j := i + 1
	if j == n {
		j = 0
	}
	w := x - f
	return float64(t[i])*(1-w) + float64(t[j])*w
}

// atAngle returns the height at an angle, the whole track being one turn.
func (t track) atAngle(rad float64) float64 { return t.at(rad * float64(len(t)) / (2 * math.Pi)) }
