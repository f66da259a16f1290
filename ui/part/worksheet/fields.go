package worksheet

import (
	"errors"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"evenrim/model"
	"evenrim/ui/state"
)

// Field is something to type: its text as it stands, and what takes another. Set's
// error is a sentence to stand beside it; the value is then left as it was, and nothing is
// worked out until the field is right. Problem is that sentence where it is wrong already.
type Field struct {
	Label, Hint, Text, Problem string
	Set                        func(text string) error
}

func base(path string) string { return filepath.Base(path) }

// mm understands a length; a bare number counts in the units shown.
func (s *Sheet) mm(text string) (float64, error) {
	return model.ParseLength(state.WithUnit(strings.ReplaceAll(text, "−", "-"), s.Units))
}

func (s *Sheet) plain(mm float64) string {
	return strings.TrimSuffix(s.Units.Plain(mm), " "+s.Units.String())
}

func angleText(rad float64) string {
	return strings.Replace(strconv.FormatFloat(math.Round(rad*180/math.Pi*1000)/1000+0, 'f', -1, 64), "-", "−", 1)
}

func angle(text string) (float64, error) {
	return model.ParseAngleDeg(strings.ReplaceAll(text, "−", "-"))
}

// length is a field of one length that takes effect at once.
func (s *Sheet) length(label, hint string, v float64, known bool, set func(float64), check func(float64) error) Field {
	f := Field{Label: label, Hint: hint}
	if known {
		f.Text = s.plain(v)
	}
	f.Set = func(text string) error {
		v, err := s.mm(text)
		if err == nil && check != nil {
			err = check(v)
		}
		if err != nil {
			return err
		}
		set(v)
		s.WorkOut()
		return nil
	}
	return f
}

// size is a length that need not be known: an empty field says so.
func (s *Sheet) size(label, hint string, v float64, set func(float64), check func(float64) error) Field {
	f := s.length(label, hint, v, v > 0, set, check)
	typed := f.Set
	f.Set = func(text string) error {
		if strings.TrimSpace(text) != "" {
			return typed(text)
		}
		set(0)
		s.WorkOut()
		return nil
	}
	return f
}

// HoleFields are the fields of a hole.
func (s *Sheet) HoleFields(h *Hole) []Field {
	place := func(to *float64) func(float64) {
		return func(v float64) { *to, h.Placed = v, true }
	}
	f := s.watched(h, "Hole "+h.Name, []Field{
		{Label: "Name", Text: h.Name, Set: func(text string) error {
			text = strings.TrimSpace(text)
			for _, o := range s.Holes {
				if o != h && o.Name == text && text != "" {
					return errors.New("Another hole has this name.")
				}
			}
			h.Name = text
			s.WorkOut()
			return nil
		}},
		s.length("X from part zero", "0", h.At.X, h.Placed, place(&h.At.X), nil),
		s.length("Y from part zero", "0", h.At.Y, h.Placed, place(&h.At.Y), nil),
	})
	for i, p := range h.Photos {
		label := "+X in the photo, °"
		if len(h.Photos) > 1 {
			label = "+X in photo " + strconv.Itoa(i+1) + ", °"
		}
		f = append(f, s.watched(p, "Hole "+h.Name, []Field{{Label: label, Text: angleText(p.Card.PlusX), Set: func(text string) error {
			a, err := angle(text)
			if err == nil {
				p.Card.PlusX, p.AsksX = a, false
				s.WorkOut()
			}
			return err
		}}})...)
	}
	return f
}

// WallFields are the fields of a wall.
func (s *Sheet) WallFields(w *Wall) []Field {
	v := &w.Wall
	return s.watched(w, "Wall "+v.Name, []Field{
		{Label: "Name", Text: v.Name, Set: func(text string) error {
			v.Name = strings.TrimSpace(text)
			s.WorkOut()
			return nil
		}},
		s.length("X of its middle", "0", v.At.X, true, func(x float64) { v.At.X = x }, nil),
		s.length("Y of its middle", "0", v.At.Y, true, func(y float64) { v.At.Y = y }, nil),
		{Label: "Faces, ° from +X", Text: angleText(v.NormalRad), Set: func(text string) error {
			a, err := angle(text)
			if err == nil {
				v.NormalRad = a
				s.WorkOut()
			}
			return err
		}},
		{Label: "Readings, + = setup 2 proud", Hint: "0.2 0.3 0.2 thou", Text: s.heights(w), Set: func(text string) error {
			h, err := s.parseHeights(text)
			if err != nil {
				return err
			}
			w.Seam, v.StepMM = nil, h
			w.layOut()
			s.WorkOut()
			return nil
		}},
		s.length("Apart along the wall", "0", w.GapMM, true, func(gap float64) { w.GapMM = gap; w.layOut() }, nil),
		s.size("One division", "0.0005in", v.ResolutionMM, func(d float64) { v.ResolutionMM = d }, func(d float64) error {
			if d <= 0 || d > 1 {
				return errors.New("One division of the indicator is more than zero and less than a millimetre.")
			}
			return nil
		}),
	})
}

// heights writes the readings as typed: in the units shown, one unit at the end.
func (s *Sheet) heights(w *Wall) string {
	if len(w.Wall.StepMM) == 0 {
		return ""
	}
	digits := 4
	if s.Units == state.Inch {
		digits = 5
	}
	var words []string
	for _, h := range w.Wall.StepMM {
		t := strconv.FormatFloat(s.Units.Of(h), 'f', digits, 64)
		words = append(words, strings.TrimSuffix(t, "0"))
	}
	return strings.Join(words, "  ") + " " + s.Units.String()
}

// parseHeights understands readings separated by gaps; the last one's unit serves
// all that have none.
func (s *Sheet) parseHeights(text string) ([]float64, error) {
	text = strings.ReplaceAll(text, "−", "-")
	if f := strings.Fields(text); len(f) > 0 {
		if _, err := strconv.ParseFloat(f[len(f)-1], 64); err == nil {
			text += " " + s.Units.String()
		}
	}
	return model.ParseHeights(text)
}

// CardFields are the fields of the part as a whole.
func (s *Sheet) CardFields() []Field {
	positive := func(v float64) error {
		if v <= 0 {
			return errors.New("This must be more than zero.")
		}
		return nil
	}
	// size is a field of the job card, of the part's and of all photos' that still follow it.
	size := func(label, hint string, v float64, mayBeEmpty bool, set func(*model.JobCard, float64)) Field {
		all := func(v float64) {
			for _, card := range s.cards() {
				set(card, v)
			}
		}
		check := func(v float64) error {
			if err := positive(v); err != nil {
				return err
			}
			for _, card := range s.cards() {
				changed := *card
				set(&changed, v)
				if err := usable(changed); err != nil {
					return err
				}
			}
			return nil
		}
		if mayBeEmpty {
			return s.size(label, hint, v, all, check)
		}
		return s.length(label, hint, v, v > 0, all, check)
	}
	c := s.Card
	return s.watched(s, "The part", []Field{
		{Label: "Part", Text: s.Name, Set: func(text string) error { s.Name = strings.TrimSpace(text); s.WorkOut(); return nil }},
		size("Bore", "10mm", c.BoreMM, false, func(j *model.JobCard, v float64) { j.BoreMM = v }),
		size("Chamfer", "0.25mm", c.ChamferMM, true, func(j *model.JobCard, v float64) { j.ChamferMM = v }),
		size("Thickness", "12mm", c.ThicknessMM, true, func(j *model.JobCard, v float64) { j.ThicknessMM = v }),
		size("Tolerance", "0.001in", c.ToleranceMM, true, func(j *model.JobCard, v float64) { j.ToleranceMM = v }),
		s.size("Part's size in X", "for the drawing", s.Size.X, func(v float64) { s.Size.X = v }, positive),
		s.size("Part's size in Y", "for the drawing", s.Size.Y, func(v float64) { s.Size.Y = v }, positive),
	})
}

// cards are the part's job card and those of the photos that follow it.
func (s *Sheet) cards() []*model.JobCard {
	all := []*model.JobCard{&s.Card}
	for _, p := range s.Photos() {
		if p.Kept == "" {
			all = append(all, &p.Card)
		}
	}
	return all
}

// usable says what is wrong with a job card, of which the bore may still be missing.
func usable(card model.JobCard) error {
	if card.BoreMM == 0 {
		card.BoreMM = model.MaxBoreMM // any that the chamfer fits into
	}
	return card.WithDefaults().Validate()
}
