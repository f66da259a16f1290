// Package report lays a reading or a part out on one page to print: photo with
// rims, unrolled rim, target map, uncertainty budget, verdict and correction in
// words, inputs and origin. A page is a chart.Figure, so the same layout goes to
// PDF and to the screen.
//
// The same reading gives the same bytes: a page carries the reading's own time.
package report
