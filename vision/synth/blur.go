package synth

import "math"

// tile is the side of the squares in which a picture is blurred.
const tile = 40

// blurrer holds the kernels of one picture. fine acts on the k-fold grid and ends
// with the mean over the pixel; coarse does the same to a picture that is
// constant over each pixel.
type blurrer struct {
	k         int
	fine      []float32 // Gaussian then box of k nodes, on the fine grid
	fineReach int       // pixels of margin the fine kernel needs
	coarse    []float32
}

func newBlurrer(sd float64, k int) *blurrer {
	b := &blurrer{k: k}
	s := sd * float64(k)
	reach := int(math.Ceil(4.5 * s))
	g := make([]float64, 2*reach+1)
	var sum float64
	for i := range g {
		// Each tap is the Gaussian's share of its node's width, so that a narrow
		// kernel keeps its variance and stays centred.
		d := float64(i - reach)
		g[i] = math.Exp(-d * d / (2 * s * s))
		sum += g[i]
	}
	// Followed by the mean over the k nodes of a pixel: tap j of the result weighs the
	// node j - reach nodes after the pixel's first.
	f := make([]float64, len(g)+k-1)
	for i, w := range g {
		for m := range k {
			f[i+m] += w / sum / float64(k)
		}
	}
	b.fine = make([]float32, len(f))
	for i, w := range f {
		b.fine[i] = float32(w)
	}
	b.fineReach = (reach + k - 1) / k
	// The same acting on pixels: gather the taps that fall on each pixel.
	c := make([]float64, 2*b.fineReach+1)
	for i, w := range f {
		node := i - reach
		px := int(math.Floor(float64(node) / float64(k)))
		c[px+b.fineReach] += w
	}
	b.coarse = make([]float32, len(c))
	for i, w := range c {
		b.coarse[i] = float32(w)
	}
	return b
}

// drawTile blurs one tile of base into out, redrawing pixels that a rim crosses
// on the fine grid.
func (r *renderer) drawTile(base planes, edge []bool, out planes, b *blurrer, x0, y0 int) {
	m := b.fineReach
	x1, y1 := min(x0+tile, r.w), min(y0+tile, r.h)
	hasEdge := false
	for y := max(y0-m, 0); y < min(y1+m, r.h) && !hasEdge; y++ {
		for x := max(x0-m, 0); x < min(x1+m, r.w); x++ {
			if edge[y*r.w+x] {
				hasEdge = true
				break
			}
		}
	}
	if !hasEdge {
		blurCoarse(base.metal, out.metal, r.w, r.h, x0, y0, x1, y1, b.coarse)
		blurCoarse(base.back, out.back, r.w, r.h, x0, y0, x1, y1, b.coarse)
		return
	}
	k := b.k
	tw, th := (x1-x0+2*m)*k, (y1-y0+2*m)*k
	fine := newPlanes(tw * th)
	for y := y0 - m; y < y1+m; y++ {
		for x := x0 - m; x < x1+m; x++ {
			// Beyond the border the last pixel goes on.
			i := min(max(y, 0), r.h-1)*r.w + min(max(x, 0), r.w-1)
			at := (y-y0+m)*k*tw + (x-x0+m)*k
			if edge[i] {
				r.fill(fine, at, tw, min(max(x, 0), r.w-1), min(max(y, 0), r.h-1))
				continue
			}
			for j := range k {
				for l := range k {
					fine.metal[at+j*tw+l], fine.back[at+j*tw+l] = base.metal[i], base.back[i]
				}
			}
		}
	}
	blurFine(fine.metal, tw, th, out.metal, r.w, x0, y0, x1, y1, b)
	blurFine(fine.back, tw, th, out.back, r.w, x0, y0, x1, y1, b)
}

// fill draws the k x k samples of pixel (x, y) to fine from index at on.
func (r *renderer) fill(fine planes, at, stride, x, y int) {
	n := r.slopesAt(float64(x), float64(y))
	k := float64(r.k)
	for j := range r.k {
		for l := range r.k {
			s := r.sample(float64(x)+(float64(l)+0.5)/k-0.5, float64(y)+(float64(j)+0.5)/k-0.5, &n)
			fine.metal[at+j*stride+l], fine.back[at+j*stride+l] = float32(s.metal), float32(s.back)
		}
	}
}

// blurFine convolves a fine tile and takes one value a pixel.
func blurFine(src []float32, tw, th int, dst []float32, w, x0, y0, x1, y1 int, b *blurrer) {
	cols := x1 - x0
	off := b.fineReach*b.k - (len(b.fine)-b.k)/2 // first tap of the tile's first pixel
	rows := make([]float32, cols*th)
	for y := range th {
		line := src[y*tw : (y+1)*tw]
		for x := range cols {
			in := line[off+x*b.k:][:len(b.fine)]
			var s float32
			for i, g := range b.fine {
				s += g * in[i]
			}
			rows[y*cols+x] = s
		}
	}
	for y := y0; y < y1; y++ {
		to := dst[y*w+x0 : y*w+x1]
		clear(to)
		for i, g := range b.fine {
			from := rows[(off+(y-y0)*b.k+i)*cols:][:cols]
			for x := range to {
				to[x] += g * from[x]
			}
		}
	}
}

func isZero(p []float32, w, h, x0, y0, x1, y1 int) bool {
	x0, x1 = max(x0, 0), min(x1, w)
	for y := max(y0, 0); y < min(y1, h); y++ {
		for _, v := range p[y*w+x0 : y*w+x1] {
			if v != 0 {
				return false
			}
		}
	}
	return true
}

// blurCoarse convolves the pixels of one tile; dst must be zero there.
func blurCoarse(src, dst []float32, w, h, x0, y0, x1, y1 int, k []float32) {
	m := len(k) / 2
	cols := x1 - x0
	th := y1 - y0 + 2*m
	if isZero(src, w, h, x0-m, y0-m, x1+m, y1+m) {
		return // dst is zero from the start
	}
	rows := make([]float32, cols*th)
	line := make([]float32, cols+2*m)
	for y := range th {
		from := src[min(max(y0-m+y, 0), h-1)*w:][:w]
		for x := range line {
			line[x] = from[min(max(x0-m+x, 0), w-1)]
		}
		for x := range cols {
			in := line[x:][:len(k)]
			var s float32
			for i, g := range k {
				s += g * in[i]
			}
			rows[y*cols+x] = s
		}
	}
	for y := y0; y < y1; y++ {
		to := dst[y*w+x0 : y*w+x1]
		clear(to)
		for i, g := range k {
			from := rows[(y-y0+i)*cols:][:cols]
			for x := range to {
				to[x] += g * from[x]
			}
		}
	}
}
