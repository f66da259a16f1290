package model

import (
	"fmt"
	"math"
)

// Percent writes a probability or share without claiming certainty.
func Percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "unknown"
	case p > 0.999:
		return "over 99.9 %"
	case p < 0.001:
		return "under 0.1 %"
	case p > 0.99 || p < 0.01:
		return fmt.Sprintf("%.1f %%", 100*p)
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}
