package kit

import (
	"math"

	"evenrim/ui/look"

	"fyne.io/fyne/v2"
)

// letterSize is the text size close to times the theme's at which a line is a
// whole number of points high: of the last, broken one the screen draws nothing,
// and the tails of g and p are in it.
func letterSize(times float32, style fyne.TextStyle) float32 {
	size := times * look.Text()
	h := fyne.MeasureText("M", size, style).Height
	if h <= 0 {
		return size
	}
	return size * float32(math.Ceil(float64(h))) / h
}
