package sampling

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Each square's mean is that of its pixels looked up one by one, in the picture and across
// its border, in 8 and in 16 bits.
func TestSquaresAreTheMeansOfTheirPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	const w, h, n = 90, 70, 150
	for _, deep := range [...]bool{false, true} {
		p, at := anyPhoto(w, h, deep, rng)
		for dense := 1; dense <= 3; dense++ {
			x, y, out, step := make([]float64, n), make([]float64, n), make([]float32, n), make([][2]float64, dense)
			for k := range n {
				x[k], y[k] = -20+(w+40)*rng.Float64(), -20+(h+40)*rng.Float64()
			}
			s, c := math.Sincos(7 * rng.Float64())
			for a := range step {
				u := 4 * (float64(a) - float64(dense-1)/2)
				step[a] = [2]float64{u * c, u * s}
			}
			p.Squares(x, y, step, out)
			for k, got := range out {
				want := 0.0
				for _, a := range step {
					for _, b := range step {
						// The pixel that lies there, or the border's nearest.
						u := min(max(math.Round(x[k]+a[0]-b[1]), 0), w-1)
						v := min(max(math.Round(y[k]+a[1]+b[0]), 0), h-1)
						want += float64(p.Tone[at(int(v)*w+int(u))]) / float64(dense*dense)
					}
				}
				if math.Abs(float64(got)-want) > 1e-5*(1+want) {
					t.Fatalf("deep %v, %d a side, place %d (%.2f, %.2f): %g, want %g", deep, dense, k, x[k], y[k], got, want)
				}
			}
		}
	}
}

// A block's sum is that of its pixels one by one, whatever its width, and what is left over at
// the right is left out.
func TestBlocksAreTheSumsOfTheirPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	const w, h = 1500, 9
	for _, deep := range [...]bool{false, true} {
		p, at := anyPhoto(w, h, deep, rng)
		for _, side := range [...]int{1, 2, 7, 15, 64, 700} {
			rows, sums := []int32{1, 4, 8}, make([]uint32, w/side)
			p.Blocks(rows, side, sums)
			for b, got := range sums {
				want := 0
				for _, r := range rows {
					for x := b * side; x < (b+1)*side; x++ {
						want += at(int(r)*w + x)
					}
				}
				if int(got) != want {
					t.Fatalf("deep %v, side %d, block %d: %d, want %d", deep, side, b, got, want)
				}
			}
		}
	}
}

// anyPhoto is a photo of chance, and what its pixels hold.
func anyPhoto(w, h int, deep bool, rng *rand.Rand) (p Photo, at func(i int) int) {
	p = Photo{W: w, H: h}
	steps := 1 << 8
	if deep {
		steps, p.Gray16 = 1<<16, make([]uint16, w*h)
		for i := range p.Gray16 {
			p.Gray16[i] = uint16(rng.Uint32())
		}
		at = func(i int) int { return int(p.Gray16[i]) }
	} else {
		p.Gray8 = make([]uint8, w*h)
		for i := range p.Gray8 {
			p.Gray8[i] = uint8(rng.Uint32())
		}
		at = func(i int) int { return int(p.Gray8[i]) }
	}
	p.Tone = make([]float32, steps)
	for i := range p.Tone {
		p.Tone[i] = float32(math.Sqrt(float64(i)))
	}
	return p, at
}
