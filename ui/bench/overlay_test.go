package bench_test

import (
	"math"
	"testing"

	"evenrim/ui/uitest"
)

// The arrow of +X stays at the hole while the job card can't be read: the rims are still
// shown, and it is dragged all the same.
func TestTheArrowStaysAtTheHole(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("a.jpg")
	d.Settle()
	was := d.Arrow()
	d.Type("bore", "abc")
	d.Settle()
	now := d.Arrow()
	if was == nil || now == nil || math.Hypot(now.Origin.X-was.Origin.X, now.Origin.Y-was.Origin.Y) > 5 || math.Abs(now.LengthPx/was.LengthPx-1) > 0.05 {
		t.Errorf("the arrow went from %+v to %+v", was, now)
	}
}
