package model

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// The Jacobian in closed form is that of differences, column by column, for any view
// and also where the chamfer has vanished over an arc.
func TestSlopesAreThoseOfDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := someView(t)
		if rapid.Bool().Draw(t, "vanished") {
			v.solid.Mismatch = Vec{1.2 * v.solid.WidthMM, 0.3 * v.solid.WidthMM}
		}
		trace := v.trace(0.3, true, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2)))
		f := &rimFit{job: v.job().WithDefaults(), trace: &trace}
		f.load(trace.Outer, trace.Bore, trace.Exit)
		starts, err := f.starts()
		if err != nil {
			t.Fatal(err)
		}
		q := starts[0]
		q[qDX], q[qDY] = v.solid.Mismatch.X, v.solid.Mismatch.Y
		m := len(f.rows)
		got := mat.NewDense(m, nUnknown, nil)
		f.jacobian(q, got)
		at, plus, minus := make([]float64, m), make([]float64, m), make([]float64, m)
		f.residuals(q, at)
		trial := append([]float64(nil), q...)
		for c, h := range f.steps(q) {
			h /= 100
			trial[c] = q[c] + h
			f.residuals(trial, plus)
			trial[c] = q[c] - h
			f.residuals(trial, minus)
			trial[c] = q[c]
			size, worst := 0.0, 0.0
			for r := range m {
				// Where the chamfer vanishes a slope is another to either side: what is
				// between the two is right. Elsewhere they are as good as one.
				ahead, behind := (plus[r]-at[r])/h, (at[r]-minus[r])/h
				size = max(size, math.Abs(ahead), math.Abs(behind))
				g := got.At(r, c)
				worst = max(worst, min(ahead, behind)-g, g-max(ahead, behind))
			}
			if worst > 1e-4*size {
				t.Errorf("unknown %d: off by %g of %g", c, worst, size)
			}
		}
	})
}
