package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"text/tabwriter"
	"time"

	"evenrim/model/chart"
	"evenrim/model/record"
)

// entryLine is one kept reading in the JSON of evenrim records; what it lacks is
// null or left out.
type entryLine struct {
	Record     record.ID      `json:"record"`
	Key        string         `json:"key"`
	Source     record.Source  `json:"source"`
	MadeAt     time.Time      `json:"made_at"`
	KeptAt     time.Time      `json:"kept_at"`
	Version    string         `json:"version"`
	Photo      string         `json:"photo"`
	PhotoSHA   *string        `json:"photo_sha256"`
	Job        string         `json:"job"`
	Part       string         `json:"part"`
	Hole       string         `json:"hole"`
	HoleMM     *[2]float64    `json:"hole_mm"`
	TurnDeg    *float64       `json:"turn_deg"`
	Batch      string         `json:"batch"`
	Note       string         `json:"note"`
	Operator   string         `json:"operator"`
	Machine    string         `json:"machine"`
	Tags       []string       `json:"tags"`
	DX         *float64       `json:"dx_mm"`
	DY         *float64       `json:"dy_mm"`
	Cov        *[2][2]float64 `json:"cov_mm2"`
	U95        *float64       `json:"u95_mm"`
	Width      *float64       `json:"width_mm"`
	WidthU     *float64       `json:"width_u_mm"`
	PxPerMM    *float64       `json:"px_per_mm"`
	Tolerance  *float64       `json:"tolerance_mm"`
	Verdict    string         `json:"verdict"`
	PWithin    *float64       `json:"p_within"`
	Replaces   record.ID      `json:"replaces,omitempty"`
	ReplacedBy record.ID      `json:"replaced_by,omitempty"`
	Who        string         `json:"who,omitempty"`
	Why        string         `json:"why,omitempty"`
}

func lineOfEntry(e record.Entry) entryLine {
	l := entryLine{Record: e.ID, Key: e.Key, Source: e.Source, MadeAt: e.MadeAt, KeptAt: e.KeptAt, Version: e.Version, Photo: e.PhotoName, Job: e.Job,
		Part: e.Part, Hole: e.Hole, Batch: e.Batch, Note: e.Note, Operator: e.Operator, Machine: e.Machine, Tags: append([]string{}, e.Tags...),
		DX: orNull(e.Mismatch.X), DY: orNull(e.Mismatch.Y), U95: orNull(e.U95MM), Width: orNull(e.WidthMM), WidthU: orNull(e.WidthUMM),
		PxPerMM: positiveOrNull(e.PxPerMM), Tolerance: orNull(e.ToleranceMM), Verdict: string(e.Verdict), PWithin: orNull(e.PWithin),
		Replaces: e.Replaces, ReplacedBy: e.ReplacedBy, Who: e.Who, Why: e.Why}
	if e.PhotoSHA256 != "" {
		l.PhotoSHA = &e.PhotoSHA256
	}
	if c := e.Cov; orNull(c.XX+c.XY+c.YY) != nil {
		l.Cov = &[2][2]float64{{c.XX, c.XY}, {c.XY, c.YY}}
	}
	if e.HoleAt != nil {
		l.HoleMM = &[2]float64{e.HoleAt.X, e.HoleAt.Y}
	}
	if e.TurnRad != nil {
		deg := math.Round(*e.TurnRad*180/math.Pi*1e9) / 1e9
		l.TurnDeg = &deg
	}
	return l
}

func orNull(f float64) *float64 {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return nil
	}
	return &f
}

// writeEntries writes a page of the list in one piece.
func (v *recordsVerb) writeEntries(entries []record.Entry, first bool) error {
	var b bytes.Buffer
	if v.json {
		enc := json.NewEncoder(&b)
		for _, e := range entries {
			if err := enc.Encode(lineOfEntry(e)); err != nil {
				return err
			}
		}
	} else if len(entries) > 0 {
		u := chart.UnitOf(v.inch)
		w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		if first {
			fmt.Fprintf(w, "no.\tmade\tjob\tbatch\tpart\thole\tX %[1]s\tY %[1]s\t+/- %[1]s\tverdict\tphoto\n", u)
		}
		for _, e := range entries {
			d := u.Decimals(e.U95MM)
			verdict := string(e.Verdict)
			if e.ReplacedBy != 0 {
				verdict += fmt.Sprintf(" (corrected by %d)", e.ReplacedBy)
			}
			fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", e.ID, e.MadeAt.Local().Format("2006-01-02 15:04"), oneLine(e.Job), oneLine(e.Batch), oneLine(e.Part), oneLine(e.Hole),
				plainASCII(u.Signed(e.Mismatch.X, d)), plainASCII(u.Signed(e.Mismatch.Y, d)), u.FormatU(e.U95MM, d), verdict, oneLine(filepath.Base(e.PhotoName)))
		}
		if err := w.Flush(); err != nil {
			return err
		}
	}
	_, err := v.out.Write(b.Bytes())
	return err
}

// oneLine keeps a name from breaking the table or moving the terminal's cursor.
func oneLine(s string) string {
	r := []rune(s)
	for i, c := range r {
		if c < ' ' || c == 0x7f || c >= 0x80 && c < 0xa0 {
			r[i] = ' '
		}
	}
	if len(r) > 40 {
		r = append(r[:39], '…')
	}
	return string(r)
}

// positiveOrNull is for what a zero of cannot be measured, only not known.
func positiveOrNull(f float64) *float64 {
	if !(f > 0) {
		return nil
	}
	return orNull(f)
}
