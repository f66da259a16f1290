package model

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// The Jacobian in closed form is that of central differences, column by column, for
// any view and also where the chamfer has vanished over an arc.
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
		got, want := mat.NewDense(m, nUnknown, nil), mat.NewDense(m, nUnknown, nil)
		f.jacobian(q, got)
		// Small steps: a point next to where the chamfer vanishes has a slope to one
		// side only.
		steps := f.steps(q)
		for i := range steps {
			steps[i] /= 100
		}
		leastSquares{m: m, step: steps, residuals: f.residuals}.jacobian(q, make([]float64, m), make([]float64, m), want)
		for c := range nUnknown {
			size, worst := 0.0, 0.0
			for r := range m {
				size = math.Max(size, math.Abs(want.At(r, c)))
				worst = math.Max(worst, math.Abs(got.At(r, c)-want.At(r, c)))
			}
			if worst > 1e-4*size {
				t.Errorf("unknown %d: off by %g of %g", c, worst, size)
			}
		}
	})
}
