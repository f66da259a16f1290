package state

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
)

// Field names a field of the job card; the names are those of model.FieldError.
type Field string

const (
	Bore      Field = "bore"
	Chamfer   Field = "chamfer"
	Angle     Field = "angle"
	Thickness Field = "thickness"
	Tolerance Field = "tolerance"
	PlusX     Field = "plus-x"
	ZoneField Field = "zone"
	FlipField Field = "flip"
	CardName  Field = "name"
)

// lengthFields are the fields that hold a length, in the order of the form.
var lengthFields = []Field{Bore, Chamfer, Thickness, Tolerance}

// CardForm is a job card as it is being typed. Text stays as typed ("0.5in",
// "5 thou"); a bare number counts in the units shown.
type CardForm struct {
	Units Units
	text  map[Field]string
	exact map[string]float64 // what texts written by FormOf stand for, mm or rad: shown digits are fewer
	zone  model.Zone
	flip  model.FlipAxis
}

// FormOf writes a card into a form.
func FormOf(j model.JobCard) CardForm {
	f := CardForm{Units: chart.UnitOf(j.ShowInch), text: map[Field]string{CardName: j.Name}, exact: map[string]float64{}, zone: j.Zone, flip: j.Flip}
	for field, mm := range map[Field]float64{Bore: j.BoreMM, Chamfer: j.ChamferMM, Thickness: j.ThicknessMM, Tolerance: j.ToleranceMM} {
		if mm > 0 {
			f.text[field] = f.Units.Plain(mm)
			f.exact[key(field, f.text[field])] = mm
		}
	}
	if j.HalfAngle > 0 {
		f.text[Angle] = trimNumber(j.HalfAngle * 180 / math.Pi)
		f.exact[key(Angle, f.text[Angle])] = j.HalfAngle
	}
	f.SetPlusX(j.PlusX)
	return f
}

func trimNumber(deg float64) string {
	return strconv.FormatFloat(math.Round(deg*100)/100+0, 'f', -1, 64) // + 0: no negative zero
}

// Text returns what stands in a field.
func (f *CardForm) Text(field Field) string {
	switch field {
	case ZoneField:
		return string(f.zone)
	case FlipField:
		return string(f.flip)
	}
	return f.text[field]
}

// Set changes a field as typed and reports whether that changed anything.
func (f *CardForm) Set(field Field, text string) bool {
	if f.Text(field) == text {
		return false
	}
	switch field {
	case ZoneField:
		f.zone = model.Zone(text)
	case FlipField:
		f.flip = model.FlipAxis(text)
	default:
		if f.text == nil {
			f.text = map[Field]string{}
		}
		f.text[field] = text
	}
	return true
}

// SetPlusX writes a direction dragged on the photo, rad.
func (f *CardForm) SetPlusX(rad float64) {
	rad = math.Remainder(rad, 2*math.Pi)
	text := trimNumber(rad * 180 / math.Pi)
	f.Set(PlusX, text)
	if f.exact == nil {
		f.exact = map[string]float64{}
	}
	f.exact[key(PlusX, text)] = rad
}

// plusX is the direction of +X as it stands in its field.
func (f *CardForm) plusX() (rad float64, err error) {
	err = f.degrees(PlusX, &rad)
	return rad, err
}

// key is an entry of CardForm.exact.
func key(field Field, text string) string { return string(field) + " " + text }

// Clean reports whether nothing has been typed that a change of photo would lose.
func (f *CardForm) Clean() bool { return strings.TrimSpace(f.text[Bore]) == "" }

// Settle gives bare numbers the unit that they were typed in, so that a change of
// units shown never changes what was meant.
func (f *CardForm) Settle() {
	for _, field := range lengthFields {
		f.text[field] = WithUnit(f.text[field], f.Units)
	}
}

// ShowIn changes the units shown. Typed text stays.
func (f *CardForm) ShowIn(u Units) {
	f.Settle()
	f.Units = u
}

// Card reads the form. problem is the first *model.FieldError in the form's order,
// or nil; the card holds then what could be read, with its defaults filled in.
func (f *CardForm) Card() (j model.JobCard, problem error) {
	j = model.JobCard{Name: strings.TrimSpace(f.text[CardName]), Zone: f.zone, Flip: f.flip, ShowInch: f.Units == Inch}
	into := map[Field]*float64{Bore: &j.BoreMM, Chamfer: &j.ChamferMM, Thickness: &j.ThicknessMM, Tolerance: &j.ToleranceMM}
	for _, field := range lengthFields {
		err := f.length(field, into[field])
		if err == nil && field == Bore && j.BoreMM == 0 && f.text[Bore] != "" {
			err = j.Validate() // a zero that was typed
		}
		if err != nil && problem == nil {
			problem = err
		}
	}
	for _, angle := range []struct {
		field Field
		into  *float64
	}{{Angle, &j.HalfAngle}, {PlusX, &j.PlusX}} {
		if err := f.degrees(angle.field, angle.into); err != nil && problem == nil {
			problem = err
		}
	}
	j = j.WithDefaults()
	if problem == nil {
		problem = checkCard(j)
	}
	return j, problem
}

// checkCard validates a card; one without a bore is asked for it, not told off.
func checkCard(j model.JobCard) error {
	if j.BoreMM == 0 {
		return &model.FieldError{Field: string(Bore), Sentence: "Type the bore diameter as on the drawing, for example 10 mm or 0.5 in. The result follows at once."}
	}
	return j.Validate()
}

// Asks reports that a field isn't wrong but waits to be filled in: the bore, the
// one thing that no reading can do without.
func (f *CardForm) Asks(field Field) bool {
	return field == Bore && strings.TrimSpace(f.text[Bore]) == ""
}

// Problems returns what is wrong with each field, in plain words.
func (f *CardForm) Problems() map[Field]string {
	out := map[Field]string{}
	var x float64
	for _, field := range lengthFields {
		if err := f.length(field, &x); err != nil {
			out[field] = err.Error()
		}
	}
	for _, field := range []Field{Angle, PlusX} {
		if err := f.degrees(field, &x); err != nil {
			out[field] = err.Error()
		}
	}
	if _, err := f.Card(); err != nil {
		var fe *model.FieldError
		if errors.As(err, &fe) && out[Field(fe.Field)] == "" {
			out[Field(fe.Field)] = fe.Sentence
		}
	}
	return out
}

func (f *CardForm) length(field Field, into *float64) error {
	text := strings.TrimSpace(f.text[field])
	if text == "" {
		*into = 0
		return nil
	}
	if mm, ok := f.exact[key(field, text)]; ok {
		*into = mm
		return nil
	}
	mm, err := model.ParseLength(WithUnit(text, f.Units))
	if err != nil {
		return &model.FieldError{Field: string(field), Sentence: err.Error()}
	}
	*into = mm
	return nil
}

func (f *CardForm) degrees(field Field, into *float64) error {
	text := strings.TrimSpace(f.text[field])
	if text == "" {
		*into = 0
		return nil
	}
	if rad, ok := f.exact[key(field, text)]; ok {
		*into = rad
		return nil
	}
	rad, err := model.ParseAngleDeg(text)
	if err != nil {
		return &model.FieldError{Field: string(field), Sentence: err.Error()}
	}
	*into = rad
	return nil
}

// Echo says a length back in the other unit, so that a slip of the unit shows:
// "= 12.7 mm". It is empty for an empty or unreadable field.
func (f *CardForm) Echo(field Field) string {
	if !slices.Contains(lengthFields, field) {
		return ""
	}
	var mm float64
	if strings.TrimSpace(f.text[field]) == "" || f.length(field, &mm) != nil || mm == 0 {
		return ""
	}
	text := WithUnit(strings.TrimSpace(f.text[field]), f.Units)
	if strings.HasSuffix(text, "mm") {
		return "= " + Inch.Plain(mm)
	}
	return "= " + MM.Plain(mm)
}
