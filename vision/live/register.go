package live

import "math"

// patch is the neighbourhood of a hole, reduced, for finding it again after a jump.
type patch struct {
	x, y float64 // of the hole's centre in the picture, px
	r    float64 // half side, px
	f    int     // side of the squares of pixels that one sample averages
	n    int     // samples a side
	v    []float32
}

const (
	// patchSamples is about how many samples a patch has a side: few enough that a
	// search all round costs some milliseconds.
	patchSamples = 48
	// patchReach is how far, in hole radii, the hole is looked for.
	patchReach = 0.9
	// patchAlike is the least correlation of two patches of one hole.
	patchAlike = 0.75
)

// cut reduces the square of half side r about (x, y); what lies outside the
// picture repeats its border.
func cut(f *frame, x, y, r float64, step int) patch {
	p := patch{x: x, y: y, r: r, f: step, n: int(2 * r / float64(step))}
	p.v = make([]float32, p.n*p.n)
	x0, y0 := int(x-float64(p.n*step)/2+0.5), int(y-float64(p.n*step)/2+0.5)
	stride := max(1, step/4) // a sample of the square is enough
	for j := range p.n {
		for i := range p.n {
			sum, num := float32(0), float32(0)
			for b := 0; b < step; b += stride {
				yy := min(max(y0+j*step+b, 0), f.h-1) * f.w
				for a := 0; a < step; a += stride {
					sum += ratio[f.gray[yy+min(max(x0+i*step+a, 0), f.w-1)]]
					num++
				}
			}
			p.v[j*p.n+i] = sum / num
		}
	}
	return p
}

// shiftOf returns how far the hole of old has moved in f, px: the shift at which
// the two pictures correlate best, to a fraction of a sample. ok is false where
// nothing looks like it.
func shiftOf(old patch, f *frame) (dx, dy float64, ok bool) {
	big := cut(f, old.x, old.y, old.r*(1+patchReach), old.f)
	n, m := old.n, big.n
	if n < 8 || m <= n {
		return 0, 0, false
	}
	mean, norm := float64(0), float64(0)
	for _, v := range old.v {
		mean += float64(v)
	}
	mean /= float64(n * n)
	zero := make([]float32, n*n)
	for i, v := range old.v {
		zero[i] = v - float32(mean)
		norm += float64(zero[i]) * float64(zero[i])
	}
	side := m - n + 1
	score := make([]float64, side*side)
	best := 0
	for sy := range side {
		for sx := range side {
			var dot, sum, sq float32
			for j := range n {
				a, b := zero[j*n:][:n], big.v[(j+sy)*m+sx:][:n]
				for i, v := range b {
					dot += a[i] * v
					sum += v
					sq += v * v
				}
			}
			k := float64(n * n)
			spread := float64(sq) - float64(sum)*float64(sum)/k
			at := sy*side + sx
			if spread > 0 && norm > 0 {
				score[at] = float64(dot) / math.Sqrt(spread*norm)
			}
			if score[at] > score[best] {
				best = at
			}
		}
	}
	if score[best] < patchAlike {
		return 0, 0, false
	}
	bx, by := best%side, best/side
	fine := func(at, lo, hi int) float64 {
		a, b, c := score[lo], score[at], score[hi]
		if d := a - 2*b + c; d < 0 {
			return 0.5 * (a - c) / d
		}
		return 0
	}
	fx, fy := float64(bx), float64(by)
	if bx > 0 && bx < side-1 {
		fx += fine(best, best-1, best+1)
	}
	if by > 0 && by < side-1 {
		fy += fine(best, best-side, best+side)
	}
	// Both squares are laid about the same centre on whole pixels.
	centre := float64(m-n) / 2
	return (fx - centre) * float64(old.f), (fy - centre) * float64(old.f), true
}
