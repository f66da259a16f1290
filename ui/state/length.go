package state

import (
	"fmt"
	"strconv"
	"strings"
)

// parseLength is to be model's.
func parseLength(text string) (float64, error) {
	t := strings.TrimSpace(text)
	for _, u := range []struct {
		s string
		k float64
	}{{"thou", 0.0254}, {"um", 0.001}, {"µm", 0.001}, {"mm", 1}, {"in", 25.4}, {"\"", 25.4}} {
		if n, ok := strings.CutSuffix(t, u.s); ok {
			x, err := strconv.ParseFloat(strings.TrimSpace(n), 64)
			if err != nil {
				break
			}
			return x * u.k, nil
		}
	}
	return 0, fmt.Errorf("%q is not a length: type a number with a unit, for example 10mm, 0.5in or 5thou.", text)
}
