package model

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"strconv"
	"strings"
)

// Reasons that no finder gives, only the program round it.
const (
	Cancelled Reason = "cancelled" // the user stopped the work
	Failed    Reason = "failed"    // a fault of the program's own
)

// ReadingLine returns the JSON object, without a line end, that stands for r in
// the output of the command line. photo is what the user calls it. A quantity
// that was not computed (not finite, or a zero that it cannot be) is null, and a
// warning says so; nothing is invented.
func ReadingLine(photo string, r *Reading) ([]byte, error) {
	missing := &missingList{}
	l := readingLine{
		Photo: photo, OK: true,
		DX: missing.unless(finite(r.Mismatch.X), "mismatch", decimals(r.Mismatch.X, 6)),
		DY: missing.unless(finite(r.Mismatch.Y), "mismatch", decimals(r.Mismatch.Y, 6)),

		U95:     missing.unless(positive(r.U95MM), "95 % uncertainty", decimals(r.U95MM, 6)),
		Width:   missing.unless(positive(r.WidthMM), "chamfer width", decimals(r.WidthMM, 6)),
		WidthU:  missing.unless(positive(r.WidthUMM), "uncertainty of the chamfer width", decimals(r.WidthUMM, 6)),
		PxPerMM: missing.unless(positive(r.Camera.PxPerMM), "scale", decimals(r.Camera.PxPerMM, 5)),

		Vanished: missing.unless(finite(r.VanishedRad), "vanished arc", decimals(degrees(r.VanishedRad), 3)),
		PWithin:  missing.unless(r.Verdict != "" && r.PWithin >= 0 && r.PWithin <= 1, "probability of being within the tolerance", decimals(r.PWithin, 4)),
		Damage:   []damageLine{},
		Warnings: []string{},
		Seconds:  decimals(r.Seconds, 4),
	}
	if c := r.Cov; finite(c.XX) && finite(c.XY) && finite(c.YY) && c.XX > 0 && c.YY > 0 {
		l.Cov = &[2][2]number{{significant(c.XX, 6), significant(c.XY, 6)}, {significant(c.XY, 6), significant(c.YY, 6)}}
	} else {
		missing.add("covariance")
	}
	l.Rims.Outer = missing.shape(&r.Outer, "outer edge's ellipse")
	l.Rims.Bore = missing.shape(&r.Bore, "bore edge's ellipse")
	if r.Exit != nil { // not seen is no gap: the view's source says it
		l.Rims.Exit = missing.shape(r.Exit, "exit rim's ellipse")
	}
	if r.View.How != "" && finite(r.View.SlopeX) && finite(r.View.SlopeY) {
		l.View = &viewLine{decimals(r.View.SlopeX, 7), decimals(r.View.SlopeY, 7), r.View.How}
	} else {
		missing.add("view direction")
	}
	for _, d := range r.Damage {
		l.Damage = append(l.Damage, damageLine{decimals(degrees(d.AtRad), 2), decimals(degrees(d.WidthRad), 2), d.Kind})
	}
	if r.Verdict != "" {
		l.Verdict = &r.Verdict
	} else {
		missing.add("verdict")
	}
	if c := r.Correction; c.Setup2.IsFinite() && c.Setup1.IsFinite() && (c != Correction{} || r.Mismatch == Vec{}) {
		l.Correction = &correctionLine{decimals(c.Setup2.X, 6), decimals(c.Setup2.Y, 6), decimals(c.Setup1.X, 6), decimals(c.Setup1.Y, 6)}
	} else {
		missing.add("correction")
	}
	l.Warnings = append(append(l.Warnings, r.Warnings...), missing.warnings()...)
	return marshalLine(l)
}

// RefusalLine returns the JSON object for a photo without a reading. err is a
// *Refusal, a *FieldError, a cancelled context's error, or anything else, which
// is then a fault of the program and not told in detail.
func RefusalLine(photo string, err error) ([]byte, error) {
	r := AsRefusal(err)
	return marshalLine(refusalLine{photo, false, r.Reason, r.Sentence})
}

// AsRefusal turns any error into one with a reason and a sentence for the user.
func AsRefusal(err error) *Refusal {
	var refusal *Refusal
	var field *FieldError
	switch {
	case errors.As(err, &refusal):
		return refusal
	case errors.As(err, &field):
		return &Refusal{Reason: BadInput, Sentence: field.Sentence, Cause: err}
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return &Refusal{Reason: Cancelled, Sentence: "The work was stopped before this photo was read: run it again.", Cause: err}
	}
	return &Refusal{Reason: Failed, Sentence: "The program could not finish this photo, a fault of its own: please report it with the photo.", Cause: err}
}

type readingLine struct {
	Photo      string          `json:"photo"`
	OK         bool            `json:"ok"`
	DX         number          `json:"dx_mm"`
	DY         number          `json:"dy_mm"`
	Cov        *[2][2]number   `json:"cov_mm2"`
	U95        number          `json:"u95_mm"`
	Width      number          `json:"width_mm"`
	WidthU     number          `json:"width_u_mm"`
	PxPerMM    number          `json:"px_per_mm"`
	Rims       rimsLine        `json:"rims"`
	View       *viewLine       `json:"view"`
	Vanished   number          `json:"vanished_arc_deg"`
	Damage     []damageLine    `json:"damage"`
	Verdict    *Verdict        `json:"verdict"`
	PWithin    number          `json:"p_within"`
	Correction *correctionLine `json:"correction"`
	Warnings   []string        `json:"warnings"`
	Seconds    number          `json:"seconds"`
}

type rimsLine struct {
	Outer *shapeLine `json:"outer"`
	Bore  *shapeLine `json:"bore"`
	Exit  *shapeLine `json:"exit"`
}

type shapeLine struct {
	CX    number `json:"cx"`
	CY    number `json:"cy"`
	A     number `json:"a"`
	B     number `json:"b"`
	Angle number `json:"angle_deg"`
	RMS   number `json:"rms_px"`
	Arc   number `json:"arc_deg"`
}

type viewLine struct {
	SlopeX number     `json:"slope_x"`
	SlopeY number     `json:"slope_y"`
	How    ViewSource `json:"how"`
}

type damageLine struct {
	At    number     `json:"at_deg"`
	Width number     `json:"width_deg"`
	Kind  DamageKind `json:"kind"`
}

type correctionLine struct {
	Setup2X number `json:"setup2_x_mm"`
	Setup2Y number `json:"setup2_y_mm"`
	Setup1X number `json:"setup1_x_mm"`
	Setup1Y number `json:"setup1_y_mm"`
}

type refusalLine struct {
	Photo  string `json:"photo"`
	OK     bool   `json:"ok"`
	Reason Reason `json:"reason"`
	Error  string `json:"error"`
}

// number is a JSON number cut to the digits that mean something; empty is null.
type number string

func (n number) MarshalJSON() ([]byte, error) {
	if n == "" {
		return []byte("null"), nil
	}
	return []byte(n), nil
}

func decimals(x float64, n int) number {
	if !finite(x) {
		return ""
	}
	s := strconv.FormatFloat(x, 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return number(s)
}

func significant(x float64, n int) number {
	if !finite(x) {
		return ""
	}
	s := strconv.FormatFloat(x, 'e', n-1, 64)
	y, _ := strconv.ParseFloat(s, 64)
	b, _ := json.Marshal(y + 0)
	return number(b)
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }
func positive(x float64) bool     { return finite(x) && x > 0 }

// missingList collects the names of the quantities that were not computed.
type missingList struct{ names []string }

func (m *missingList) add(name string) {
	for _, n := range m.names {
		if n == name {
			return
		}
	}
	m.names = append(m.names, name)
}

func (m *missingList) unless(ok bool, name string, n number) number {
	if !ok {
		m.add(name)
		return ""
	}
	return n
}

func (m *missingList) shape(s *RimShape, name string) *shapeLine {
	if !finite(s.CX) || !finite(s.CY) || !positive(s.A) || !positive(s.B) {
		m.add(name)
		return nil
	}
	return &shapeLine{decimals(s.CX, 4), decimals(s.CY, 4), decimals(s.A, 4), decimals(s.B, 4),
		decimals(degrees(s.AngleRad), 3), decimals(s.RMSPx, 4), decimals(degrees(s.ArcRad), 2)}
}

func (m *missingList) warnings() []string {
	var out []string
	for _, n := range m.names {
		out = append(out, "The "+n+" was not computed.")
	}
	return out
}

func marshalLine(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // < and & are plain characters in a file name
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}
