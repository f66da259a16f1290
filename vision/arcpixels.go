package vision

import (
	"math"
	"slices"
)

// arcPixels are the pixels of one short arc that an edgeModel is fitted to, and
// the columns its fit works with: one value a pixel, column by column, because the
// fit runs over them some twenty times. One goroutine's own, reused for all arcs.
type arcPixels struct {
	n        int
	light    []float64        // on the scale that the model is fitted on
	distance [nRims][]float64 // outside the curve of the model's i-th rim, px

	// What look leaves of each edge and, outermost first, of each region.
	blurs          [nRims][]float64     // distance outside the edge, blurs
	bell, bellSq   [nRims][]float64     // by how much light falls, per px, and variance, per blur
	share, shareSq [nRims + 1][]float64 // of a region in the light and in its variance
	ramp           []float64            // of a light that grows outwards in the wall, px

	predicted, misfit  []float64
	variance, weight   []float64
	surprise, weighted []float64
	row                [2 * nRims][]float64 // derivatives by an edge's shift, then by its blur
	fall               [nRims][]float64     // of the variance, as a share of it
}

// clear makes room for up to most pixels with k edges.
func (a *arcPixels) clear(k, most int) {
	a.n = 0
	fit := func(columns ...*[]float64) {
		for _, c := range columns {
			*c = slices.Grow((*c)[:0], most)[:most]
		}
	}
	fit(&a.light, &a.ramp, &a.predicted, &a.misfit, &a.variance, &a.weight, &a.surprise, &a.weighted)
	for i := range k {
		fit(&a.distance[i], &a.blurs[i], &a.bell[i], &a.bellSq[i], &a.row[i], &a.row[nRims+i], &a.fall[i])
	}
	for i := range k + 1 {
		fit(&a.share[i], &a.shareSq[i])
	}
}

// add takes a pixel in, as a model of the given rims sees it.
func (a *arcPixels) add(p *pixel, rims []int, shadows bool) {
	light := p.light
	if shadows {
		light = p.shadow
	}
	a.light[a.n] = float64(light)
	for i, r := range rims {
		a.distance[i][a.n] = float64(p.d[r])
	}
	a.n++
}

// look works out where the pixels lie on each of k edges: shift is the edge's
// place, blur its sd, both in px. wall is the region whose ramp is wanted, 0 = none.
func (a *arcPixels) look(k, wall int, shift, blur *[nRims]float64) {
	n := a.n
	for i := range k {
		place, perBlur := shift[i], 1/blur[i]
		distance, blurs := a.distance[i][:n], a.blurs[i][:n]
		bell, bellSq := a.bell[i][:n], a.bellSq[i][:n]
		outside, outsideSq := a.share[i][:n], a.shareSq[i][:n]
		inside, insideSq := a.share[i+1][:n], a.shareSq[i+1][:n]
		for p, d := range distance {
			t := (d - place) * perBlur
			blurs[p] = t
			beyond, density := normalBeyond(t)
			beyondSq, densitySq := normalBeyond(t * math.Sqrt2)
			bell[p], bellSq[p] = density*perBlur, densitySq
			// All that lies inside this edge, until the next one is looked at.
			before, beforeSq := 1.0, 1.0
			if i > 0 {
				before, beforeSq = outside[p], outsideSq[p]
			}
			outside[p], outsideSq[p] = max(before-beyond, 0), max(beforeSq-beyondSq, 0)
			inside[p], insideSq[p] = beyond, beyondSq
		}
	}
	if wall > 0 {
		i := wall - 1
		width := blur[i]
		share, bell, ramp := a.share[wall][:n], a.bell[i][:n], a.ramp[:n]
		for p, t := range a.blurs[i][:n] {
			ramp[p] = width * (t*share[p] - width*bell[p]) // blurred, and ending at the edge
		}
	}
}
