package chart

import (
	"fmt"
	"math"
	"unicode"

	"evenrim/model"
	"evenrim/model/batch"
)

// BatchMap is the target map of several batches: every part as a mark of its
// batch, and for each batch the ellipse that holds 95 % of such parts, if they are
// normal (drawn from three parts on), with a cross at its mean.
func BatchMap(batches []batch.Batch, o MapOptions) *Chart {
	var points []MapPoint
	var zone Zone
	for i, b := range batches {
		name := b.Name
		if name == "" {
			name = "without a name"
		}
		o.Groups = append(o.Groups, name)
		if z := (Zone{b.ToleranceMM, b.Zone}); i == 0 {
			zone = z
		} else if z != zone {
			zone = Zone{} // none of them is the zone of all
		}
		for _, p := range b.Parts {
			points = append(points, MapPoint{At: p.D, Group: i, Quiet: true})
		}
		if s, err := batch.Summarise(b.Parts); err == nil && s.N >= 3 && s.Cov.Det() > 0 {
			o.Clouds = append(o.Clouds, MapCloud{Centre: s.Mean, Cov: s.Cov, K: cloudFactor(s.N), Group: i})
		}
	}
	o.HideSetup = true
	return TargetMap(points, zone, o)
}

// cloudFactor makes the ellipse about the mean of n parts one that holds the next
// part with 95 % probability: Hotelling's, so wider for few parts.
func cloudFactor(n int) float64 { return math.Sqrt(batch.T2Next(n, 0.95)) }

// BatchChart is one chart of a batch.
type BatchChart struct {
	Name  string // for a file's name
	Title string
	Chart *Chart
}

// BatchCharts are the control charts of a batch: X and Y as single values with
// their moving ranges, the distance in the plane, and the averages that show a
// drift.
func BatchCharts(b batch.Batch, c batch.Control, u Unit, s Style) []BatchChart {
	n := len(b.Parts)
	names := make([]string, n)
	for i, p := range b.Parts {
		names[i] = shortName(p.Name, i)
	}
	out := func(signals []batch.Signal, rule func(batch.Rule) bool) []bool {
		o := make([]bool, n)
		for _, q := range signals {
			if rule(q.Rule) {
				o[q.Index] = true
			}
		}
		return o
	}
	inUnit := func(mm ...float64) []float64 {
		v := make([]float64, len(mm))
		for i := range mm {
			v[i] = u.Of(mm[i])
		}
		return v
	}
	single := func(r batch.Rule) bool { return r != batch.RangeOut }
	jump := func(r batch.Rule) bool { return r == batch.RangeOut }
	any := func(batch.Rule) bool { return true }
	var list []BatchChart
	add := func(file, title string, r Run) {
		r.Title, r.XLabel, r.Labels = title, "part", names
		list = append(list, BatchChart{file, title, RunChart(r, s)})
	}
	for _, a := range []struct {
		axis  string
		ind   batch.Individuals
		drift batch.EWMA
		u95   func(model.Sym2) float64
	}{
		{"X", c.X, c.DriftX, func(q model.Sym2) float64 { return model.Factor95 * math.Sqrt(math.Max(q.XX, 0)) }},
		{"Y", c.Y, c.DriftY, func(q model.Sym2) float64 { return model.Factor95 * math.Sqrt(math.Max(q.YY, 0)) }},
	} {
		bars := make([]float64, n)
		for i, p := range b.Parts {
			bars[i] = u.Of(a.u95(p.Cov))
		}
		add("run-"+a.axis, a.axis+" of each part", Run{
			YLabel: a.axis + ", " + u.String(), Values: inUnit(a.ind.Values...), U95: bars,
			Centre: inUnit(a.ind.Centre), Lower: inUnit(a.ind.Lower), Upper: inUnit(a.ind.Upper), Out: out(a.ind.Signals, single)})
		add("range-"+a.axis, a.axis+", jump from the part before", Run{
			YLabel: "jump, " + u.String(), Values: inUnit(append([]float64{math.NaN()}, a.ind.Ranges...)...),
			Centre: inUnit(a.ind.RangeCentre), Upper: inUnit(a.ind.RangeUpper), Out: out(a.ind.Signals, jump)})
		add("drift-"+a.axis, a.axis+", weighted average", Run{
			YLabel: a.axis + ", " + u.String(), Values: inUnit(a.drift.Values...), Centre: inUnit(a.drift.Centre),
			Lower: inUnit(a.drift.Lower...), Upper: inUnit(a.drift.Upper...), Out: out(a.drift.Signals, any)})
	}
	add("plane", "Distance in the plane (T squared)", Run{
		YLabel: "T²", Values: c.Plane.Values, Upper: []float64{c.Plane.Upper}, Out: out(c.Plane.Signals, any)})
	return list
}

// shortName is a part's name where it is short enough for an axis, else its place.
func shortName(name string, i int) string {
	if r := []rune(name); len(r) > 0 && len(r) <= 5 {
		return name
	}
	return number(float64(i+1), 0)
}

// FunnelFigure shows what habits of correcting do to the same parts: one chart of
// distances from even for each, one scale.
func FunnelFigure(f batch.FunnelShow, u Unit, s Style) []BatchChart {
	most := 0.0
	for _, r := range f.Runs {
		for _, p := range r.Parts {
			most = math.Max(most, p.Norm())
		}
	}
	var list []BatchChart
	for i, r := range f.Runs {
		v := make([]float64, len(r.Parts))
		for j, p := range r.Parts {
			v[j] = u.Of(p.Norm())
		}
		c := RunChart(Run{Title: fmt.Sprintf("%s: %s %s rms", sentenceCase(string(r.Habit)), u.Format(math.Sqrt(r.MeanSquare), u.Decimals(f.SDMM)), u),
			XLabel: "part", YLabel: "off even, " + u.String(), Values: v, Centre: []float64{u.Of(math.Sqrt(r.MeanSquare))}}, s)
		c.Plot.Y.Min, c.Plot.Y.Max = 0, u.Of(most)*1.08
		list = append(list, BatchChart{Name: fmt.Sprintf("funnel-%d", i+1), Title: string(r.Habit), Chart: c})
	}
	return list
}

func sentenceCase(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	return string(append([]rune{unicode.ToUpper(r[0])}, r[1:]...))
}
