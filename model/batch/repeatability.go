package batch

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Trial is one reading of a repeatability study, along one axis.
type Trial struct {
	Part, Person string
	Value        float64 // mm
}

// Study is a repeatability study by analysis of variance: parts, persons, and
// their interaction as random effects.
type Study struct {
	Parts, Persons, Trials int
	// Mean squares and their degrees of freedom.
	MSPart, MSPerson, MSInteraction, MSRepeat     float64
	DOFPart, DOFPerson, DOFInteraction, DOFRepeat float64
	FInteraction, PInteraction                    float64
	// Pooled says that the interaction is no more than chance and was counted as
	// repeatability.
	Pooled bool
	// Standard deviations, mm, with intervals. Repeatability is the same person on
	// the same part; Reproducibility what persons (and their interaction with parts)
	// add; Reading both together; PartToPart the parts themselves.
	Repeatability, Reproducibility, Reading, PartToPart, Total Interval
	// ToleranceShare is six Reading standard deviations over the tolerance band's
	// width; StudyShare is Reading over Total.
	ToleranceShare, StudyShare Interval
	Distinct                   float64 // categories of parts that can be told apart: 1.41 PartToPart/Reading
	Warnings                   []string
}

// poolAbove is the probability of the interaction above which it is pooled, as
// is usual in such studies (AIAG Measurement Systems Analysis, from memory).
const poolAbove = 0.25

// studyRuns draws make the intervals.
const studyRuns = 20_000

// StudyOf analyses trials, balanced: every person reads every part equally often,
// at least twice. toleranceMM is the zone's half width.
//
// Intervals are generalised confidence intervals: each mean square is replaced by
// itself times its degrees of freedom over a chi-squared draw (Hamada &
// Weerahandi, J. Quality Technology 32 (2000) 241-253, from memory).
func StudyOf(trials []Trial, toleranceMM float64) (Study, error) {
	x, err := balance(trials)
	if err != nil {
		return Study{}, err
	}
	s := Study{Parts: len(x), Persons: len(x[0]), Trials: len(x[0][0])}
	s.anova(x)
	var names []*Interval
	now := s.components(s.MSPart, s.MSPerson, s.MSInteraction, s.MSRepeat, toleranceMM)
	for _, p := range []*Interval{&s.Repeatability, &s.Reproducibility, &s.Reading, &s.PartToPart, &s.Total, &s.ToleranceShare, &s.StudyShare} {
		p.Value = now[len(names)]
		names = append(names, p)
	}
	s.Distinct = math.Sqrt2 * s.PartToPart.Value / s.Reading.Value
	draws := make([][]float64, len(names))
	rng := rand.New(rand.NewPCG(0x57d, uint64(len(trials))))
	pivot := func(ms, dof float64) float64 {
		return ms * dof / distuv.ChiSquared{K: dof, Src: rng}.Rand()
	}
	for range studyRuns {
		v := s.components(pivot(s.MSPart, s.DOFPart), pivot(s.MSPerson, s.DOFPerson), pivot(s.MSInteraction, s.DOFInteraction), pivot(s.MSRepeat, s.DOFRepeat), toleranceMM)
		for i := range draws {
			draws[i] = append(draws[i], v[i])
		}
	}
	for i, p := range names {
		slices.Sort(draws[i])
		p.Low, p.High = quantile(draws[i], 0.025), quantile(draws[i], 0.975)
	}
	if s.Persons < 3 {
		s.Warnings = append(s.Warnings, fmt.Sprintf("%d persons hardly tell how much persons differ: look at the interval.", s.Persons))
	}
	if s.Parts < 5 {
		s.Warnings = append(s.Warnings, fmt.Sprintf("%d parts are few: ten that cover the range of the process are usual.", s.Parts))
	}
	return s, nil
}

// balance sorts trials into [part][person][trial].
func balance(trials []Trial) ([][][]float64, error) {
	cells := map[[2]string][]float64{}
	var parts, persons []string
	for _, t := range trials {
		if !finite(t.Value) {
			return nil, fmt.Errorf("batch: study: the reading of part %q by %q is no number", t.Part, t.Person)
		}
		k := [2]string{t.Part, t.Person}
		cells[k] = append(cells[k], t.Value)
		parts, persons = append(parts, t.Part), append(persons, t.Person)
	}
	parts, persons = distinct(parts), distinct(persons)
	if len(parts) < 2 || len(persons) < 2 {
		return nil, fmt.Errorf("batch: a study needs at least two parts and two persons: %w", ErrTooFew)
	}
	want := len(cells[[2]string{parts[0], persons[0]}])
	if want < 2 {
		return nil, fmt.Errorf("batch: a study needs every part read at least twice by each person: %w", ErrTooFew)
	}
	x := make([][][]float64, len(parts))
	for i, p := range parts {
		for _, o := range persons {
			c := cells[[2]string{p, o}]
			if len(c) != want {
				return nil, fmt.Errorf("batch: part %q was read %d times by %q, not %d as the others: %w", p, len(c), o, want, ErrTooFew)
			}
			x[i] = append(x[i], c)
		}
	}
	return x, nil
}

func distinct[T cmp.Ordered](x []T) []T {
	slices.Sort(x)
	return slices.Compact(x)
}

// anova computes the mean squares of the two-way layout with interaction (any
// textbook; NIST/SEMATECH e-Handbook 3.2.3.3).
func (s *Study) anova(x [][][]float64) {
	a, b, r := float64(s.Parts), float64(s.Persons), float64(s.Trials)
	mean := func(pick func(i, j int) bool) float64 {
		sum, n := 0.0, 0.0
		for i := range x {
			for j := range x[i] {
				if pick(i, j) {
					for _, v := range x[i][j] {
						sum += v
						n++
					}
				}
			}
		}
		return sum / n
	}
	grand := mean(func(int, int) bool { return true })
	part, person := make([]float64, s.Parts), make([]float64, s.Persons)
	for i := range part {
		part[i] = mean(func(k, _ int) bool { return k == i })
	}
	for j := range person {
		person[j] = mean(func(_, k int) bool { return k == j })
	}
	var ssPart, ssPerson, ssInter, ssRepeat float64
	for i := range part {
		ssPart += b * r * (part[i] - grand) * (part[i] - grand)
		for j := range person {
			cell := mean(func(k, l int) bool { return k == i && l == j })
			d := cell - part[i] - person[j] + grand
			ssInter += r * d * d
			for _, v := range x[i][j] {
				ssRepeat += (v - cell) * (v - cell)
			}
		}
	}
	for j := range person {
		ssPerson += a * r * (person[j] - grand) * (person[j] - grand)
	}
	s.DOFPart, s.DOFPerson, s.DOFInteraction, s.DOFRepeat = a-1, b-1, (a-1)*(b-1), a*b*(r-1)
	s.MSPart, s.MSPerson = ssPart/s.DOFPart, ssPerson/s.DOFPerson
	s.MSInteraction, s.MSRepeat = ssInter/s.DOFInteraction, ssRepeat/s.DOFRepeat
	s.FInteraction = s.MSInteraction / s.MSRepeat
	s.PInteraction = distuv.F{D1: s.DOFInteraction, D2: s.DOFRepeat}.Survival(s.FInteraction)
	if s.PInteraction > poolAbove {
		s.Pooled = true
		dof := s.DOFInteraction + s.DOFRepeat
		s.MSRepeat = (ssInter + ssRepeat) / dof
		s.DOFRepeat = dof
	}
}

// components returns, from mean squares, the standard deviations of
// repeatability, reproducibility, reading, parts and all, and the two shares.
func (s *Study) components(part, person, inter, repeat, toleranceMM float64) [7]float64 {
	a, b, r := float64(s.Parts), float64(s.Persons), float64(s.Trials)
	base := inter
	interaction := math.Max(0, (inter-repeat)/r)
	if s.Pooled {
		base, interaction = repeat, 0
	}
	persons := math.Max(0, (person-base)/(a*r))
	parts := math.Max(0, (part-base)/(b*r))
	reproduce := persons + interaction
	reading := repeat + reproduce
	total := reading + parts
	return [7]float64{math.Sqrt(repeat), math.Sqrt(reproduce), math.Sqrt(reading), math.Sqrt(parts), math.Sqrt(total),
		6 * math.Sqrt(reading) / (2 * toleranceMM), math.Sqrt(reading / total)}
}
