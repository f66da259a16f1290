package draft

import (
	"errors"
	"slices"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/plan"
	"evenrim/model/plan/words"
	"evenrim/ui/state"
)

// Plan is a section's answer with what it was made from. Exactly one of the four
// results is set.
type Plan struct {
	Section Section
	Units   chart.Unit
	Answer  words.Answer
	Inputs  []Input
	Flip    *plan.SideBySide
	Sight   *plan.Sight
	Photo   *plan.PhotoPlan
	Found   *plan.Found
}

// Input is one field as it went into a plan, for the setup sheet.
type Input struct {
	Name, Value, Why string
	Own              bool // changed from its default
}

// seed of the simulated parts: the same plan gives the same figures.
const seed = 1

// Maker makes a plan; it may run anywhere, as it holds copies of all it needs.
type Maker func() (Plan, error)

// Plan reads a section and makes its plan. With dry set it only checks the fields.
// The error is Problems, or a sentence.
func (d *Draft) Plan(s Section, dry bool) (Plan, error) {
	m, err := d.Prepare(s)
	if err != nil || dry {
		return Plan{}, err
	}
	return m()
}

// Prepare reads a section, quickly, and returns what makes its plan. The error is
// Problems.
func (d *Draft) Prepare(s Section) (Maker, error) {
	r := &reader{d: d}
	out := Plan{Section: s, Units: d.Units}
	u := d.Units
	var examples []string // faces of which nobody has typed the touches
	for face, key := range map[string]string{"A": "a-touches", "B": "b-touches"} {
		if !d.Own(key) {
			examples = append(examples, face)
		}
	}
	slices.Sort(examples)
	for _, f := range d.Fields(s) {
		v := strings.ReplaceAll(d.Text(f.Key), "\n", "; ")
		if v == "" {
			v = f.Empty
		} else if f.Kind == Number && f.Suffix != "" && !strings.HasSuffix(v, f.Suffix) {
			v += " " + f.Suffix
		} else if f.Kind == Length {
			v = state.WithUnit(v, u)
		}
		out.Inputs = append(out.Inputs, Input{Name: f.Name, Value: v, Why: f.Says(d.Own(f.Key)), Own: d.Own(f.Key)})
	}
	var check error
	var m Maker
	switch s {
	case Flip:
		f, c := r.flip()
		if check = f.Validate(); check == nil {
			check = c.Validate()
		}
		m = func() (Plan, error) {
			both, err := c.Compare(f, 0, seed)
			out.Flip, out.Answer = &both, words.Flip(both, u)
			return out, err
		}
	case Chamfer:
		q := r.see()
		check = q.Validate()
		m = func() (Plan, error) {
			o, err := q.Look()
			if err != nil {
				return out, err
			}
			out.Sight, out.Answer = &o, words.Chamfer(o, u)
			return out, nil
		}
	case Photo:
		p := r.photo()
		check = p.Validate()
		m = func() (Plan, error) {
			o, err := p.Plan()
			if err != nil {
				return out, err
			}
			out.Photo, out.Answer = &o, words.Photo(o, u)
			return out, nil
		}
	default:
		p := r.pickUp()
		check = p.Validate()
		m = func() (Plan, error) {
			f, err := p.Find()
			if errors.Is(err, model.ErrDegenerate) {
				return out, Problems{{"a-touches", "The touches of a face all lie at one place: touch it at two places, far apart."}}
			}
			if err != nil {
				return out, err
			}
			out.Found, out.Answer = &f, words.PickUp(f, examples, u)
			return out, nil
		}
	}
	var in *plan.InputError
	var fe *model.FieldError
	switch {
	case errors.As(check, &in):
		r.fail(keyOf(in.Field), "%s", in.Sentence)
	case errors.As(check, &fe):
		r.fail(keyOf(fe.Field), "%s", fe.Sentence)
	}
	if len(r.problems) > 0 {
		return nil, Problems(r.problems)
	}
	return m, nil
}
