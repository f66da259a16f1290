package model

import "math"

// WaveOf is a wave round the hole in the chamfer's width beyond the fitted one:
// n = 2 an oval, n = 4 four lobes.
type WaveOf struct {
	N        int
	MM       float64 // amplitude
	UMM      float64 // standard uncertainty of each of its two components
	DOF      int     // of UMM
	PeakRad  float64 // part axes: one of the directions where the chamfer is widest
	Measured bool    // false where too little of the rim is seen
}

// Sigma is how far the wave stands out of chance, on the scale of a known
// uncertainty in the plane: 2.45 has 5 %, 3.7 has 0.1 %. The tail of F with two
// degrees of freedom above has a closed form.
func (w WaveOf) Sigma() float64 {
	if !w.Measured || w.UMM <= 0 {
		return 0
	}
	nu := float64(w.DOF)
	return math.Sqrt(nu * math.Log1p(sq(w.MM/w.UMM)/nu))
}

// waveNumbers are fitted to the width curve; the two of interest are judged by
// how large their neighbours come out, as edges' roughness and light make slow
// waves of all numbers alike.
var waveNumbers = []int{2, 4, 3, 5, 6, 7}

// Waves fits waves of two and four lobes to what is left of the width curve
// beyond its fitted wave.
func (r *Reading) Waves() (two, four WaveOf) {
	two, four = WaveOf{N: 2}, WaveOf{N: 4}
	rows := linearRows{n: 1 + 2*len(waveNumbers)}
	coeff := make([]float64, rows.n)
	var seen [12]bool
	for _, p := range r.Curve {
		if !p.Used || !finite(p.WidthMM) || !finite(p.FitMM) || !finite(p.AngleRad) {
			continue
		}
		coeff[0] = 1
		for k, n := range waveNumbers {
			s, c := math.Sincos(float64(n) * p.AngleRad)
			coeff[1+2*k], coeff[2+2*k] = c, s
		}
		rows.add(coeff, p.WidthMM-p.FitMM, 1)
		seen[int((wrapPi(p.AngleRad)+math.Pi)/(2*math.Pi)*12)%12] = true
	}
	sectors := 0
	for _, s := range seen {
		if s {
			sectors++
		}
	}
	if len(rows.y) < 36 || sectors < 10 { // on less of a rim the waves mix
		return two, four
	}
	f := rows.solve()
	sum, dof := 0.0, 0
	for j := 5; j < rows.n; j++ {
		if f.Determined[j] {
			sum += sq(f.X[j])
			dof++
		}
	}
	if dof < 4 {
		return two, four
	}
	u := math.Max(math.Sqrt(sum/float64(dof)), leastU)
	for k, w := range []*WaveOf{&two, &four} {
		c, s := f.X[1+2*k], f.X[2+2*k]
		w.MM, w.UMM, w.DOF, w.Measured = math.Hypot(c, s), u, dof, true
		w.PeakRad = math.Atan2(s, c) / float64(w.N)
	}
	return two, four
}

// meanWave is the wave that is the same in several photos, in part axes: what one
// of many shows by chance isn't a wave of the machine's.
func meanWave(waves []WaveOf) WaveOf {
	var m WaveOf
	var c Vec
	var of []Vec
	u2 := 0.0
	for _, w := range waves {
		if !w.Measured {
			continue
		}
		v := Polar(w.MM, float64(w.N)*w.PeakRad)
		c, of = c.Add(v), append(of, v)
		u2 += w.UMM * w.UMM
		m.N, m.DOF = w.N, m.DOF+w.DOF
	}
	n := float64(len(of))
	if n == 0 {
		return m
	}
	c = c.Scale(1 / n)
	scatter := 0.0
	for _, v := range of {
		scatter += v.Sub(c).Dot(v.Sub(c)) / 2
	}
	u2 /= n * n
	if len(of) > 1 {
		u2 = math.Max(u2, scatter/(n*(n-1)))
	}
	m.MM, m.UMM, m.PeakRad, m.Measured = c.Norm(), math.Sqrt(u2), c.Angle()/float64(m.N), true
	return m
}
