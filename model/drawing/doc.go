// Package drawing has the small line drawings that explain the words of the
// trade in help and lessons: the two setups and the flip, what the widths mean,
// the three rims, a step at a wall, +X, a turn set.
//
// Each is a chart.Figure in the colours of window and report: blue for setup 1,
// rust for setup 2, in light, dark or print. They are drawn by code, so that they
// follow the palette and stay sharp at any size; chart.Write gives PNG, SVG or PDF.
package drawing
