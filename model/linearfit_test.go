package model

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// JCGM 100 H.2: resistance, reactance and impedance from five sets of voltage,
// current and phase that are correlated.
func TestPropagateAgainstJCGM100H2(t *testing.T) {
	obs := mat.NewDense(5, 3, []float64{
		5.007, 19.663e-3, 1.0456,
		4.994, 19.639e-3, 1.0438,
		5.005, 19.640e-3, 1.0468,
		4.990, 19.685e-3, 1.0428,
		4.999, 19.678e-3, 1.0433,
	})
	var cov mat.SymDense
	stat.CovarianceMatrix(&cov, obs, nil)
	cov.ScaleSym(1./5, &cov) // of the means
	x := make([]float64, 3)
	for k := range x {
		x[k] = stat.Mean(mat.Col(nil, k, obs), nil)
	}
	corr := func(c *mat.SymDense, i, k int) float64 { return c.At(i, k) / math.Sqrt(c.At(i, i)*c.At(k, k)) }
	near(t, "r(V,I)", corr(&cov, 0, 1), -0.36, 0.005)
	near(t, "r(V,phi)", corr(&cov, 0, 2), 0.86, 0.005)
	near(t, "r(I,phi)", corr(&cov, 1, 2), -0.65, 0.005)
	y, c := Propagate(func(x []float64) []float64 {
		z := x[0] / x[1]
		return []float64{z * math.Cos(x[2]), z * math.Sin(x[2]), z}
	}, x, &cov)
	near(t, "R", y[0], 127.732, 5e-4)
	near(t, "X", y[1], 219.847, 5e-4)
	near(t, "Z", y[2], 254.260, 5e-4)
	near(t, "u(R)", math.Sqrt(c.At(0, 0)), 0.071, 5e-4)
	near(t, "u(X)", math.Sqrt(c.At(1, 1)), 0.295, 1e-3)
	near(t, "u(Z)", math.Sqrt(c.At(2, 2)), 0.236, 5e-4)
	near(t, "r(R,X)", corr(c, 0, 1), -0.588, 1e-3)
	near(t, "r(R,Z)", corr(c, 0, 2), -0.485, 1e-3)
	near(t, "r(X,Z)", corr(c, 1, 2), 0.993, 1e-3)
}

// straightLine fits y = a + b x with equal weights and returns what a textbook
// prints: a, b, their standard uncertainties from the scatter, their correlation
// and the scatter.
func straightLine(x, y []float64) (a, b, ua, ub, r, s float64) {
	rows := linearRows{n: 2}
	for i := range x {
		rows.add([]float64{1, x[i]}, y[i], 1)
	}
	f := rows.solve()
	s = math.Sqrt(f.Chi2 / float64(f.DOF))
	ua, ub = s*math.Sqrt(f.Cov.At(0, 0)), s*math.Sqrt(f.Cov.At(1, 1))
	return f.X[0], f.X[1], ua, ub, f.Cov.At(0, 1) / math.Sqrt(f.Cov.At(0, 0)*f.Cov.At(1, 1)), s
}

func TestLinearFitAgainstPublishedLines(t *testing.T) {
	// JCGM 100 H.3, thermometer calibration, t0 = 20 degrees C.
	temp := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	corr := []float64{-.171, -.169, -.166, -.159, -.164, -.165, -.156, -.157, -.159, -.161, -.160}
	for i := range temp {
		temp[i] -= 20
	}
	a, b, ua, ub, r, s := straightLine(temp, corr)
	near(t, "H.3 y1", a, -0.1712, 5e-5)
	near(t, "H.3 u(y1)", ua, 0.0029, 5e-5)
	near(t, "H.3 y2", b, 0.00218, 5e-6)
	near(t, "H.3 u(y2)", ub, 0.00067, 5e-6)
	near(t, "H.3 r", r, -0.930, 5e-4)
	near(t, "H.3 s", s, 0.0035, 5e-5)
	// Natrella, NBS Handbook 91, 5-4.1.
	var x []float64
	for v := 100.0; v <= 1500; v += 100 {
		x = append(x, v)
	}
	x = append([]float64{30}, x...)
	y := []float64{4642, 4612, 4565, 4513, 4476, 4433, 4389, 4347, 4303, 4251, 4201, 4140, 4100, 4073, 4024, 3999}
	a, b, _, ub, _, s = straightLine(x, y)
	near(t, "Natrella intercept", a, 4654.9846, 5e-5)
	near(t, "Natrella slope", b, -0.44985482, 5e-9)
	near(t, "Natrella variance of slope", ub*ub, 0.000025649045, 5e-12)
	near(t, "Natrella s", s, 9.277617, 1e-6) // printed cut, not rounded
}

func TestLinearFitSaysWhatIsOpen(t *testing.T) {
	// x0 + x1 is seen, x2 is seen, x0 and x1 apart are not.
	r := linearRows{n: 3}
	r.add([]float64{1, 1, 0}, 5, 0.1)
	r.add([]float64{1, 1, 1}, 7, 0.1)
	r.add([]float64{2, 2, 1}, 12, 0.1)
	f := r.solve()
	if f.Determined[0] || f.Determined[1] || !f.Determined[2] {
		t.Errorf("determined = %v, want only the third", f.Determined)
	}
	near(t, "x2", f.X[2], 2, 1e-12)
	near(t, "sum", f.X[0]+f.X[1], 5, 1e-12)
	if f.DOF != 1 {
		t.Errorf("dof = %d, want 3 rows - rank 2", f.DOF)
	}
	if f = (&linearRows{n: 2}).solve(); f.Determined[0] || f.DOF != 0 {
		t.Error("a fit of nothing claims to know something")
	}
}

// Published chi-squared table: upper points at 0.05 and 0.01.
func TestChi2TailAgainstTable(t *testing.T) {
	for dof, x := range map[int][2]float64{1: {3.841, 6.635}, 2: {5.991, 9.210}, 3: {7.815, 11.345}, 5: {11.070, 15.086}, 9: {16.919, 21.666}, 30: {43.773, 50.892}} {
		near(t, "5 % point", chi2Tail(x[0], dof), 0.05, 1e-4)
		near(t, "1 % point", chi2Tail(x[1], dof), 0.01, 1e-4)
		near(t, "quantile", distuv.ChiSquared{K: float64(dof)}.Quantile(0.95), x[0], 5e-4)
	}
	near(t, "two-sided 1.96", twoSided(-1.959964), 0.05, 1e-7)
	near(t, "no degrees of freedom", chi2Tail(9, 0), 1, 0)
}
