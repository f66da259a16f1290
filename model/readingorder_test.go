package model

import (
	"slices"
	"testing"
)

// Three rows of a part that lies a little crooked in the photo, in the finder's order of
// likelihood; the order wanted is how one reads them.
func TestInReadingOrder(t *testing.T) {
	at := func(x, y float64) Circle { return Circle{X: x, Y: y, R: 60} }
	want := []Circle{at(100, 130), at(400, 112), at(700, 95), at(110, 420), at(690, 400), at(390, 800)}
	got := []Circle{want[4], want[0], want[5], want[2], want[1], want[3]}
	InReadingOrder(got)
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	InReadingOrder(nil)
}
