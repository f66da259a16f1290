package model

import (
	"fmt"
	"math"
)

// HoleReading is what the photos of one hole say together, with its place on the
// part.
type HoleReading struct {
	Hole     string
	At       Vec // mm, setup 2 axes; HasPlace says whether it is known
	HasPlace bool
	Mismatch Vec  // mm
	Cov      Sym2 // mm², everything included
	// CameraCov is the share of Cov that stays with the camera, mm², in the
	// camera's own axes; holes photographed one after the other share it.
	CameraCov         Sym2
	PlusX             float64 // rad: turns part axes into camera axes
	WidthMM, WidthUMM float64
	Job               JobCard
	Verdict           Verdict
	PWithin           float64
	Readings          []*Reading
	Set               *TurnSet // nil for a single photo
}

// JoinHole makes one hole's reading from its photos, a turn set where there are
// two or more (see JoinTurns for turnRad). at is nil when the hole's place is not
// known.
func JoinHole(hole string, at *Vec, readings []*Reading, turnRad []float64) (HoleReading, error) {
	if len(readings) == 0 {
		return HoleReading{}, fmt.Errorf("model: hole %q has no photo with a reading", hole)
	}
	r := readings[0]
	h := HoleReading{Hole: hole, Mismatch: r.Mismatch, Cov: r.Cov, WidthMM: r.WidthMM, WidthUMM: r.WidthUMM,
		CameraCov: r.CovOf(FollowsCamera).Rotate(r.Job.PlusX), PlusX: r.Job.PlusX, Job: r.Job.WithDefaults(), Readings: readings}
	if at != nil {
		h.At, h.HasPlace = *at, true
	}
	if len(readings) > 1 {
		set, err := JoinTurns(readings, turnRad)
		if err != nil {
			return HoleReading{}, fmt.Errorf("model: hole %q: %w", hole, err)
		}
		h.Set, h.Mismatch, h.Cov, h.WidthMM, h.WidthUMM = set, set.Mismatch, set.Cov, set.WidthMM, set.WidthUMM
		if set.Separated {
			h.CameraCov = Sym2{}
		}
	}
	judge := JudgePhoto
	if h.Set != nil && h.Set.Pictures() > 1 {
		judge = Judge
	}
	h.Verdict, h.PWithin = judge(h.Mismatch, h.Cov, h.Job.ToleranceMM, h.Job.Zone)
	return h, nil
}

// ownCov is the share of Cov that is the hole's own, mm².
func (h HoleReading) ownCov() Sym2 { return h.Cov.Add(h.CameraCov.Rotate(-h.PlusX).Scale(-1)) }

// cameraErrors are the two standard errors of the camera in part axes, mm: a turn
// set's are nothing, being out already.
func (h HoleReading) cameraErrors() (one, two Vec) {
	one, two = h.CameraCov.lower()
	return one.Rotate(-h.PlusX), two.Rotate(-h.PlusX)
}

// HolePhoto is one photo's reading with what the list or the record says of its
// hole.
type HolePhoto struct {
	Hole    string
	At      *Vec     // mm; nil = not said
	TurnRad *float64 // nil = not said
	Reading *Reading
}

// key tells the holes of a part apart.
func (p HolePhoto) key() string {
	if p.Hole == "" && p.At != nil {
		return fmt.Sprint("place ", *p.At)
	}
	return "name " + p.Hole
}

// OfHole says that both are of one hole, as the list or the record has it.
func (p HolePhoto) OfHole(o HolePhoto) bool { return p.key() == o.key() }

// JoinHoles groups a part's photos by hole, in the order of first appearance, and
// joins each hole's. Photos of one name are one hole; without names the place
// tells, and without either all photos are of one hole.
func JoinHoles(photos []HolePhoto) ([]HoleReading, error) {
	type group struct {
		at       *Vec
		readings []*Reading
		turns    []float64
	}
	groups, order, names := map[string]*group{}, []string{}, map[string]string{}
	for _, p := range photos {
		key := p.key()
		g := groups[key]
		if g == nil {
			g = &group{}
			groups[key], names[key], order = g, p.Hole, append(order, key)
		}
		if g.at == nil {
			g.at = p.At
		} else if p.At != nil && *p.At != *g.at {
			return nil, fmt.Errorf("Hole %s has two places, (%.4g, %.4g) and (%.4g, %.4g) mm: check hole_x and hole_y.", holeName(p.Hole), g.at.X, g.at.Y, p.At.X, p.At.Y)
		}
		turn := math.NaN()
		if p.TurnRad != nil {
			turn = *p.TurnRad
		}
		g.readings, g.turns = append(g.readings, p.Reading), append(g.turns, turn)
	}
	var out []HoleReading
	for _, key := range order {
		g := groups[key]
		h, err := JoinHole(names[key], g.at, g.readings, g.turns)
		if err != nil {
			return nil, err
		}
		out = append(out, h)
	}
	return out, nil
}
