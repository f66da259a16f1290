package chart

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestDecimalsFollowTheUncertainty(t *testing.T) {
	// Two figures of the uncertainty: JCGM 100:2008, 7.2.6; the bounds are the
	// shop's (common practice, no source).
	for _, c := range []struct {
		unit Unit
		u    float64
		want int
	}{
		{MM, 0.0026, 4}, {MM, 0.026, 3}, {MM, 0.00026, 4}, {MM, 0.3, 3}, {MM, 0, 3}, {MM, math.NaN(), 3}, {MM, math.Inf(1), 3},
		{MM, 0.00996, 3}, // reads 0.010
		{Inch, 0.0026, 5}, {Inch, 0.026, 4}, {Inch, 0.00026, 5}, {Inch, 0.3, 4},
	} {
		if got := c.unit.Decimals(c.u); got != c.want {
			t.Errorf("%v.Decimals(%g mm) = %d, want %d", c.unit, c.u, got, c.want)
		}
	}
}

func TestLengthsAreWrittenInTheirUnit(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{MM.Format(-0.0312, 4), "−0.0312"}, {MM.Format(-0.00004, 3), "0.000"},
		{MM.FormatU(0.00261, 4), "0.0027"}, {MM.FormatU(0.0026, 4), "0.0026"}, {Inch.FormatU(0.0254, 4), "0.0010"},
		{MM.FormatU(0, 4), "unknown"}, {MM.FormatU(math.Inf(1), 4), "unknown"}, {MM.FormatU(math.NaN(), 4), "unknown"},
		{MM.Signed(0.0312, 3), "+0.031"}, {MM.Signed(-0.0312, 3), "−0.031"}, {MM.Signed(0.0001, 3), "0.000"},
		{Inch.Format(25.4, 4), "1.0000"}, {Inch.Plain(0.0254), "0.001 in"}, {Inch.Plain(12.7), "0.5 in"},
		{MM.Plain(10), "10 mm"}, {MM.Plain(0), "0 mm"}, {MM.Plain(0.0254), "0.0254 mm"}, {MM.Plain(100), "100 mm"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestUnitRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e3, 1e3).Draw(t, "mm")
		if got := Inch.MM(Inch.Of(v)); math.Abs(got-v) > 1e-12*math.Abs(v) {
			t.Fatalf("%g mm came back as %g", v, got)
		}
	})
}

func TestTicksAreRoundAndFew(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-100, 100).Draw(t, "lo")
		span := math.Pow(10, rapid.Float64Range(-6, 4).Draw(t, "log span"))
		ticks := ticker{5}.Ticks(lo, lo+span)
		if n := len(ticks); n < 1 || n > 6 {
			t.Fatalf("%d ticks on [%g, %g], want 1 to 6", n, lo, lo+span)
		}
		step, _ := niceStep(span / 5)
		m := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
		if d := math.Min(math.Abs(m-1), math.Min(math.Abs(m-2), math.Abs(m-5))); d > 1e-6 {
			t.Fatalf("step %g isn't 1, 2 or 5 times a power of ten", step)
		}
		for _, k := range ticks {
			if k.Value < lo-span*1e-6 || k.Value > lo+span*(1+1e-6) {
				t.Fatalf("tick %g is outside of [%g, %g]", k.Value, lo, lo+span)
			}
		}
	})
}
