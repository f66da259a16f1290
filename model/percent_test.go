package model

import (
	"math"
	"testing"
)

func TestPercentClaimsNoCertainty(t *testing.T) {
	for p, want := range map[float64]string{math.NaN(): "unknown", 1: "over 99.9 %", 0: "under 0.1 %", 0.998: "99.8 %", 0.5: "50 %", 0.004: "0.4 %"} {
		if got := Percent(p); got != want {
			t.Errorf("Percent(%g) = %q, want %q", p, got, want)
		}
	}
}
