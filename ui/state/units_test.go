package state

import "testing"

func TestUncertaintyIsNeverUnderstated(t *testing.T) {
	// Two figures of the uncertainty, rounded up: JCGM 100, 7.2.6.
	for _, tt := range []struct {
		u      Units
		u95    float64
		signed string // of 0.0312 mm
		want   string
	}{
		{MM, 0.0026, "+0.0312", "± 0.0026"},
		{MM, 0.00261, "+0.0312", "± 0.0027"},
		{MM, 0.0123, "+0.031", "± 0.013"},
		{Inch, 0.00254, "+0.00123", "± 0.00010"},
		{Inch, 0.0254, "+0.0012", "± 0.0010"},
	} {
		if got := plusMinus(tt.u, tt.u95); got != tt.want {
			t.Errorf("plusMinus(%v, %g) = %q, want %q", tt.u, tt.u95, got, tt.want)
		}
		if got := signed(tt.u, 0.0312, tt.u95); got != tt.signed {
			t.Errorf("signed(%v, 0.0312, %g) = %q, want %q", tt.u, tt.u95, got, tt.signed)
		}
	}
}
