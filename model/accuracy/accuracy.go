// Package accuracy judges readings by photos whose truth is known: how large
// their errors are, whether the uncertainty they state is true, and whether the
// probability they give for the tolerance zone is.
package accuracy

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// Case is one photo of known truth and what was read in it.
type Case struct {
	Photo          string
	Light, Backing string
	WidthPx        float64 // true chamfer width in the photo
	UmPerPx        float64
	HasHole        bool
	Refused        model.Reason // "" when there is a reading

	// Of the reading, when there is one.
	View            model.ViewSource
	ErrMM, U95MM    float64
	Off             model.Vec // read less true mismatch, mm
	Covered         bool      // the stated 95 % region holds the truth
	CardJudged      bool      // the rims were solved with a job card that is off too
	CardCovered     bool      // and what was stated then holds the truth
	Cov             model.Sym2
	ToleranceMM     float64
	Zone            model.Zone
	PWithin         float64 // stated
	Within          bool    // the truth lies in the tolerance zone
	Seconds, Decode float64
}

// ErrPx is the error in the photo's own pixels.
func (c Case) ErrPx() float64 { return 1000 * c.ErrMM / c.UmPerPx }

// Judge fills in what a reading is worth against the true mismatch.
func (c *Case) Judge(r *model.Reading, truth model.Vec) {
	c.hold(r.Mismatch, r.Cov, r.U95MM, r.Job, truth)
	c.View, c.PWithin, c.Covered = r.View.How, r.PWithin, covers(r, truth)
}

// JudgeSet fills in what the photos of one hole say together, the part turned between them.
func (c *Case) JudgeSet(t *model.TurnSet, job model.JobCard, truth model.Vec) {
	c.hold(t.Mismatch, t.Cov, t.U95MM, job, truth)
	_, c.PWithin = model.Judge(t.Mismatch, t.Cov, job.ToleranceMM, job.Zone)
	k := model.CoverageFactor(0) // the set's covariance allows for its few photos
	c.Covered = t.Cov.Mahalanobis2(c.Off) <= k*k
}

// hold fills in what was said, d with its covariance, against the truth.
func (c *Case) hold(d model.Vec, cov model.Sym2, u95MM float64, job model.JobCard, truth model.Vec) {
	c.Off = d.Sub(truth)
	c.ErrMM, c.U95MM, c.Cov = c.Off.Norm(), u95MM, cov
	c.ToleranceMM, c.Zone = job.ToleranceMM, job.Zone
	c.Within = inZone(truth, c.ToleranceMM, c.Zone)
}

// Share is k of n with its 95 % interval.
type Share struct {
	K, N   int
	Lo, Hi float64
}

// Of is the share itself; NaN of nothing.
func (s Share) Of() float64 { return float64(s.K) / float64(s.N) }

// NewShare returns k of n with the interval of Clopper & Pearson (Biometrika 26,
// 1934, from memory), which never claims more than it holds.
func NewShare(k, n int) Share {
	s := Share{K: k, N: n, Lo: 0, Hi: 1}
	if n == 0 {
		return s
	}
	if k > 0 {
		s.Lo = distuv.Beta{Alpha: float64(k), Beta: float64(n - k + 1)}.Quantile(0.025)
	}
	if k < n {
		s.Hi = distuv.Beta{Alpha: float64(k + 1), Beta: float64(n - k)}.Quantile(0.975)
	}
	return s
}

// Quantile returns the smallest value that a share p of x does not exceed; NaN of
// nothing. x is left alone.
func Quantile(x []float64, p float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	t := slices.Clone(x)
	slices.Sort(t)
	return t[min(max(int(math.Ceil(p*float64(len(t))))-1, 0), len(t)-1)]
}

// Row sums up a group of cases.
type Row struct {
	Name             string
	Readings         int
	Refused          int
	MedianUM, P95UM  float64
	MedianPx, P95Px  float64
	Covered          Share
	CardCovered      Share // with job cards off by what is stated of them
	MeanU95UM        float64
	WronglyWithout   int // readings of photos that hold none
	RefusedReasons   map[model.Reason]int
	SecondsPerDecode float64 // of the middle photo
}

// Sum sums up cases under a name.
func Sum(name string, cases []Case) Row {
	r := Row{Name: name, RefusedReasons: map[model.Reason]int{}}
	var um, px, ratio []float64
	covered, cards, cardCovered := 0, 0, 0
	for _, c := range cases {
		switch {
		case c.Refused != "":
			r.Refused++
			r.RefusedReasons[c.Refused]++
			continue
		case !c.HasHole:
			r.WronglyWithout++
			continue
		}
		um, px = append(um, 1000*c.ErrMM), append(px, c.ErrPx())
		r.MeanU95UM += 1000 * c.U95MM
		if c.Covered {
			covered++
		}
		if c.CardJudged {
			cards++
		}
		if c.CardCovered {
			cardCovered++
		}
		if c.Decode > 0 {
			ratio = append(ratio, c.Seconds/c.Decode)
		}
	}
	r.Readings = len(um)
	r.MeanU95UM /= float64(r.Readings)
	r.MedianUM, r.P95UM, r.MedianPx, r.P95Px = Quantile(um, 0.5), Quantile(um, 0.95), Quantile(px, 0.5), Quantile(px, 0.95)
	r.Covered, r.CardCovered = NewShare(covered, r.Readings), NewShare(cardCovered, cards)
	r.SecondsPerDecode = Quantile(ratio, 0.5)
	return r
}

// GroupBy sums up cases by a name each has, in the order of the names given;
// others follow by the alphabet. Groups without a case are left out.
func GroupBy(cases []Case, name func(Case) string, order ...string) []Row {
	by := map[string][]Case{}
	var names []string
	for _, c := range cases {
		n := name(c)
		if by[n] == nil {
			names = append(names, n)
		}
		by[n] = append(by[n], c)
	}
	at := func(n string) int {
		if i := slices.Index(order, n); i >= 0 {
			return i
		}
		return len(order)
	}
	slices.SortFunc(names, func(a, b string) int {
		if d := at(a) - at(b); d != 0 {
			return d
		}
		if a < b {
			return -1
		}
		return 1
	})
	var out []Row
	for _, n := range names {
		out = append(out, Sum(n, by[n]))
	}
	return out
}

// Bin is a range of a number with its name, for GroupBy.
type Bin struct {
	Below float64
	Name  string
}

// In names the bin that x falls into.
func In(x float64, bins []Bin) string {
	for _, b := range bins {
		if x < b.Below {
			return b.Name
		}
	}
	return "beyond"
}

// The bins of a bench table.
var (
	WidthBins = []Bin{{8, "under 8 px"}, {15, "8 to 15 px"}, {25, "15 to 25 px"}, {40, "25 to 40 px"}, {math.Inf(1), "over 40 px"}}
	PixelBins = []Bin{{10, "under 10 um"}, {15, "10 to 15 um"}, {25, "15 to 25 um"}, {math.Inf(1), "over 25 um"}}
)

// Names of bins in order.
func Names(bins []Bin) []string {
	var out []string
	for _, b := range bins {
		out = append(out, b.Name)
	}
	return out
}

// Trust compares a stated probability with what was true.
type Trust struct {
	From, To float64 // stated probabilities of this line
	Stated   float64 // their mean
	True     Share   // of them, whose truth lay within the zone
}

// trustEdges are finer where verdicts are made.
var trustEdges = []float64{0, 0.05, 0.25, 0.5, 0.75, 0.95, 1}

// trustLine is the line of a reliability table for a stated probability.
func trustLine(p float64) int {
	line := 0
	for line < len(trustEdges)-2 && p >= trustEdges[line+1] {
		line++
	}
	return line
}

// trustSum is what a line of a reliability table is made from.
type trustSum struct{ n, within, stated float64 }

// trusts are the lines of a reliability table; each of what was summed counts 1/per.
func trusts(sums []trustSum, per float64) []Trust {
	out := make([]Trust, len(sums))
	for i, s := range sums {
		out[i] = Trust{From: trustEdges[i], To: trustEdges[i+1]}
		if s.n > 0 {
			out[i].Stated = s.stated / s.n
		}
		out[i].True = NewShare(int(math.Round(s.within/per)), int(math.Round(s.n/per)))
	}
	return out
}

// Reliability tells, by ranges of the stated probability of lying within the
// tolerance zone, how often the truth did.
func Reliability(cases []Case) []Trust {
	sums := make([]trustSum, len(trustEdges)-1)
	for _, c := range cases {
		if c.Refused != "" || !c.HasHole {
			continue
		}
		s := &sums[trustLine(c.PWithin)]
		s.n, s.stated = s.n+1, s.stated+c.PWithin
		if c.Within {
			s.within++
		}
	}
	return trusts(sums, 1)
}
