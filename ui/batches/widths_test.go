package batches

import "testing"

// At every width the date has room for all of it or none, no column is negative,
// and the row is no wider than it may be.
func TestTheDateIsWholeOrLeftOut(t *testing.T) {
	for width := float32(150); width < 2500; width += 7 {
		sum := float32(0)
		w := widths(width)
		for i, v := range w {
			if v < 0 {
				t.Fatalf("column %d is %g wide of %g", i, v, width)
			}
			sum += v
		}
		if made := w[6]; made != 0 && made < 159 {
			t.Errorf("the date has %g of %g", made, width)
		}
		if width > 300 && sum > width+1 {
			t.Errorf("the columns take %g of %g", sum, width)
		}
	}
}
