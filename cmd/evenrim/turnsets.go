package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/model/report"
	"evenrim/ui/port"
)

// A turn set's number has a T before it, so that it is never taken for a reading's.
func setText(id record.SetID) string { return fmt.Sprintf("T%d", id) }

func setNumber(text string) (id record.SetID, ok bool) {
	if len(text) < 2 || text[0] != 'T' && text[0] != 't' {
		return 0, false
	}
	n, err := strconv.ParseInt(text[1:], 10, 64)
	return record.SetID(n), err == nil && n > 0
}

var _ port.SetKeeper = (*shelf)(nil)

func (s *shelf) KeepSet(ctx context.Context, j *model.Joined, members []string) (string, error) {
	if s.err != nil {
		return "", s.err
	}
	var ids []record.ID
	for _, m := range members {
		n, err := strconv.ParseInt(m, 10, 64)
		if err != nil {
			return "", fmt.Errorf("%q is no number of a reading.", m)
		}
		ids = append(ids, record.ID(n))
	}
	id, err := s.store.KeepTurnSet(ctx, j, ids)
	return setText(id), err
}

func (s *shelf) LastSets(ctx context.Context, n int) ([]port.Kept, error) {
	if s.err != nil {
		return nil, s.err
	}
	sets, err := s.store.TurnSets(ctx, n)
	if err != nil {
		return nil, err
	}
	out := make([]port.Kept, len(sets))
	for i, e := range sets {
		out[i] = port.Kept{ID: setText(e.ID), Photo: e.Photo, Photos: len(e.Members), Part: e.Part, Mismatch: e.Mismatch, U95MM: e.U95MM,
			Verdict: e.Verdict, MadeAt: e.MadeAt, Corrected: e.Outdated}
		// A set that can't be opened is listed all the same.
		if j, _, err := s.store.TurnSet(ctx, e.ID); err == nil {
			out[i].Photos, out[i].ShowInch = max(j.Set.Pictures(), 1), j.Job.ShowInch
		}
	}
	return out, nil
}

func (s *shelf) ReopenSet(ctx context.Context, id string) (*model.Joined, []string, error) {
	if s.err != nil {
		return nil, nil, s.err
	}
	n, ok := setNumber(id)
	if !ok {
		return nil, nil, fmt.Errorf("%q is no number of a turn set: choose one from the list.", id)
	}
	j, e, err := s.store.TurnSet(ctx, n)
	if err != nil {
		return nil, nil, err
	}
	members := make([]string, len(e.Members))
	for i, m := range e.Members {
		members[i] = idText(m)
	}
	return j, members, nil
}

// setLine is one kept turn set in the JSON of evenrim records turns.
type setLine struct {
	Set      string         `json:"turn_set"`
	Key      string         `json:"key"`
	MadeAt   time.Time      `json:"made_at"`
	KeptAt   time.Time      `json:"kept_at"`
	Version  string         `json:"version"`
	Job      string         `json:"job"`
	Part     string         `json:"part"`
	Hole     string         `json:"hole"`
	Records  []record.ID    `json:"records"`
	DX       *float64       `json:"dx_mm"`
	DY       *float64       `json:"dy_mm"`
	Cov      *[2][2]float64 `json:"cov_mm2"`
	U95      *float64       `json:"u95_mm"`
	Verdict  string         `json:"verdict"`
	PWithin  *float64       `json:"p_within"`
	Outdated bool           `json:"outdated"`
}

// turns lists the turn sets that were kept.
func (v *recordsVerb) turns(ctx context.Context, _ string) error {
	s, err := v.openKept(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	sets, err := s.TurnSets(ctx, 0)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if v.json {
		enc := json.NewEncoder(&b)
		for _, e := range sets {
			l := setLine{Set: setText(e.ID), Key: e.Key, MadeAt: e.MadeAt, KeptAt: e.KeptAt, Version: e.Version, Job: e.Job, Part: e.Part, Hole: e.Hole,
				Records: e.Members, DX: orNull(e.Mismatch.X), DY: orNull(e.Mismatch.Y), U95: orNull(e.U95MM), Verdict: string(e.Verdict), PWithin: orNull(e.PWithin), Outdated: e.Outdated}
			if c := e.Cov; orNull(c.XX+c.XY+c.YY) != nil {
				l.Cov = &[2][2]float64{{c.XX, c.XY}, {c.XY, c.YY}}
			}
			if err := enc.Encode(l); err != nil {
				return err
			}
		}
	} else {
		u := chart.UnitOf(v.inch)
		w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		if len(sets) > 0 {
			fmt.Fprintf(w, "no.\tmade\tjob\tpart\thole\tX %[1]s\tY %[1]s\t+/- %[1]s\tverdict\treadings\n", u)
		}
		for _, e := range sets {
			d := u.Decimals(e.U95MM)
			verdict := string(e.Verdict)
			if e.Outdated {
				verdict += " (a reading of it was corrected)"
			}
			var of []string
			for _, m := range e.Members {
				of = append(of, idText(m))
			}
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", setText(e.ID), e.MadeAt.Local().Format("2006-01-02 15:04"), oneLine(e.Job), oneLine(e.Part), oneLine(e.Hole),
				plainASCII(u.Signed(e.Mismatch.X, d)), plainASCII(u.Signed(e.Mismatch.Y, d)), u.FormatU(e.U95MM, d), verdict, strings.Join(of, ", "))
		}
		if err := w.Flush(); err != nil {
			return err
		}
		v.say("%s.", counted(len(sets), "turn set"))
	}
	_, err = v.out.Write(b.Bytes())
	return err
}

// showSet shows a kept turn set in the form of a reading, whose rims and curve are its
// first photo's.
func (v *recordsVerb) showSet(ctx context.Context, id record.SetID) error {
	s, err := v.openKept(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	j, e, err := s.TurnSet(ctx, id)
	if err != nil {
		return err
	}
	first, _, err := s.Get(ctx, e.Members[0])
	if err != nil {
		return err
	}
	name := fmt.Sprintf("%s, %s joined, the first %s", setText(id), j.Set.CountWords(), first.Photo.Name)
	text := readingInWords(name, j.Reading(first))
	if v.json {
		if text, err = model.ReadingLine(name, j.Reading(first)); err != nil {
			return err
		}
		text = append(text, '\n')
	}
	if _, err = v.out.Write(text); err == nil {
		if w := outdatedWords(e); w != "" {
			v.say("%s", w)
		}
		v.cautionAbout(j.Reading(first), v.json)
	}
	return err
}

// outdatedWords say that a set isn't what its readings tell now; "" when it is.
func outdatedWords(e record.SetEntry) string {
	if !e.Outdated {
		return ""
	}
	return fmt.Sprintf("A reading of %s has been corrected since: join its photos anew.", setText(e.ID))
}

// setLabels are what the shop wrote beside a set's first reading, and whether the set counts.
func setLabels(e record.SetEntry, first record.Entry) report.Labels {
	l := pageLabels(first)
	l.Record, l.Outdated = setText(e.ID), outdatedWords(e)
	return l
}

var _ port.Describer = (*shelf)(nil)

func (s *shelf) Describe(ctx context.Context, id string) (report.Labels, error) {
	if s.err != nil {
		return report.Labels{}, s.err
	}
	if n, ok := setNumber(id); ok {
		_, e, err := s.store.TurnSet(ctx, n)
		if err != nil {
			return report.Labels{}, err
		}
		_, first, err := s.store.Get(ctx, e.Members[0])
		return setLabels(e, first), err
	}
	n, err := strconv.ParseInt(id, 10, 64)
	if err != nil {
		return report.Labels{}, fmt.Errorf("%q is no number of a reading: choose one from the list.", id)
	}
	_, e, err := s.store.Get(ctx, record.ID(n))
	return pageLabels(e), err
}

// setPage is the page of a kept turn set with its readings, exactly as they were kept.
func (v *reportVerb) setPage(ctx context.Context, store *record.Store, id record.SetID) (*report.TurnSetPage, error) {
	j, e, err := store.TurnSet(ctx, id)
	if err != nil {
		return nil, err
	}
	page := &report.TurnSetPage{Joined: j}
	number := map[*model.Reading]string{}
	for i, m := range e.Members {
		r, entry, err := store.Get(ctx, m)
		if err != nil {
			return nil, err
		}
		if i == 0 {
			page.Labels = setLabels(e, entry)
		}
		page.Members = append(page.Members, r)
		number[r] = idText(m)
	}
	page.Photo = func(r *model.Reading) *image.RGBA { return v.keptPhoto(ctx, store, number[r], r) }
	return page, nil
}
