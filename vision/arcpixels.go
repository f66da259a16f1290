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

	// What look leaves of each edge.
	blurs              [nRims][]float64 // distance outside the edge, blurs
	beyond, beyondSq   [nRims][]float64 // share of the light, and of the variance, from inside
	bell, bellSq       [nRims][]float64 // by how much they fall, per px and per blur
	ones, zeros        []float64
	predicted, misfit  []float64
	variance, weight   []float64
	surprise, weighted []float64
	row                [maxModel][]float64
}

// clear makes room for up to most pixels with k edges.
func (a *arcPixels) clear(k, most int) {
	a.n = 0
	fit := func(columns ...*[]float64) {
		for _, c := range columns {
			*c = slices.Grow((*c)[:0], most)
		}
	}
	fit(&a.light, &a.predicted, &a.misfit, &a.variance, &a.weight, &a.surprise, &a.weighted)
	for i := range k {
		fit(&a.distance[i], &a.blurs[i], &a.beyond[i], &a.beyondSq[i], &a.bell[i], &a.bellSq[i])
	}
	for i := range a.row {
		fit(&a.row[i])
	}
	for len(a.ones) < most {
		a.ones, a.zeros = append(a.ones, 1), append(a.zeros, 0)
	}
}

// add takes a pixel in, as a model of the given rims sees it.
func (a *arcPixels) add(p *pixel, rims []int, shadows bool) {
	light := p.light
	if shadows {
		light = p.shadow
	}
	a.light = append(a.light, float64(light))
	for i, r := range rims {
		a.distance[i] = append(a.distance[i], float64(p.d[r]))
	}
	a.n++
}

// look works out where the pixels lie on each of k edges: shift is the edge's
// place, blur its sd, both in px.
func (a *arcPixels) look(k int, shift, blur *[nRims]float64) {
	n := a.n
	for i := range k {
		place, perBlur := shift[i], 1/blur[i]
		distance, blurs := a.distance[i][:n], a.blurs[i][:n]
		beyond, bell := a.beyond[i][:n], a.bell[i][:n]
		beyondSq, bellSq := a.beyondSq[i][:n], a.bellSq[i][:n]
		for p, d := range distance {
			t := (d - place) * perBlur
			blurs[p] = t
			share, density := normalBeyond(t)
			beyond[p], bell[p] = share, density*perBlur
			beyondSq[p], bellSq[p] = normalBeyond(t * math.Sqrt2)
		}
	}
}
