package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/model/report"
)

func newStudyCmd(a *app) *cobra.Command {
	v := &studyVerb{app: a, tolerance: model.JobCard{}.WithDefaults().ToleranceMM}
	cmd := &cobra.Command{
		Use:   "study --list study.csv | study NAME...",
		Short: "How far readings of the same part agree: a gauge study",
		Long: `Says how far readings of the same parts agree, by one person and between persons,
and what share of the tolerance that takes, for X and Y, with intervals.

A study is balanced: every person reads every part equally often, at least twice.
The table has one reading a line; its first line names the columns part, person,
dx_mm and dy_mm (or _um, _thou, _in). Or name kept batches whose readings carry
part and person.`,
		Example: `  evenrim study --list study.csv --tolerance 0.001in
  evenrim study "gauge study" --json`,
		RunE: func(cmd *cobra.Command, args []string) error { return v.run(cmd.Context(), args) },
	}
	f := cmd.Flags()
	f.StringVar(&v.list, "list", "", "the table of readings, a `csv file`")
	f.Var(&lengthFlag{mm: &v.tolerance, eg: "0.001in", notZero: true}, "tolerance", "radius of the tolerance zone, a `length` (default 0.001in, or that of the batch)")
	f.BoolVar(&v.inch, "inch", false, "show lengths in inches")
	f.BoolVar(&v.json, "json", false, "write one JSON object a line instead of words")
	cmd.PreRun = func(cmd *cobra.Command, _ []string) { v.told = cmd.Flags().Changed("tolerance") }
	return cmd
}

type studyVerb struct {
	*app
	list       string
	tolerance  float64
	told       bool // the tolerance by flag
	inch, json bool
}

// studyLine is one axis of a study in JSON; lengths are standard deviations, mm,
// each with its 95 % interval.
type studyLine struct {
	Axis            string      `json:"axis"`
	Parts           int         `json:"parts"`
	Persons         int         `json:"persons"`
	Readings        int         `json:"readings_each"`
	ToleranceMM     float64     `json:"tolerance_mm"`
	Repeatability   [3]*float64 `json:"repeatability_mm"` // value, low, high
	Reproducibility [3]*float64 `json:"reproducibility_mm"`
	Reading         [3]*float64 `json:"reading_mm"`
	Part            [3]*float64 `json:"parts_mm"`
	ToleranceShare  [3]*float64 `json:"tolerance_share"`
	StudyShare      [3]*float64 `json:"study_share"`
	Distinct        *float64    `json:"distinct"`
	F               *float64    `json:"interaction_f"`
	P               *float64    `json:"interaction_p"`
	Pooled          bool        `json:"interaction_pooled"`
	MeanSquares     [4]*float64 `json:"mean_squares_mm2"` // part, person, interaction, repeat
	DOF             [4]float64  `json:"degrees_of_freedom"`
	Warnings        []string    `json:"warnings"`
}

func three(i batch.Interval) [3]*float64 {
	return [3]*float64{orNull(i.Value), orNull(i.Low), orNull(i.High)}
}

func (v *studyVerb) run(ctx context.Context, names []string) error {
	var readings []batch.PersonReading
	var err error
	switch {
	case v.list != "" && len(names) > 0:
		return usage("Give either --list or the names of kept batches, not both.")
	case v.list != "":
		readings, err = v.fromTable()
	case len(names) > 0:
		readings, err = v.fromRecord(ctx, names)
	default:
		return usage("No study is named: use --list study.csv, or the name of a batch that was kept.")
	}
	if err != nil {
		return err
	}
	x, y, err := batch.StudyAxes(readings, v.tolerance)
	if err != nil {
		return fmt.Errorf("These readings make no study: %s.", strings.TrimSuffix(strings.TrimPrefix(err.Error(), "batch: "), ": "+batch.ErrTooFew.Error()))
	}
	for _, axis := range []struct {
		name string
		s    batch.Study
	}{{"X", x}, {"Y", y}} {
		if err := v.write(axis.name, axis.s); err != nil {
			return err
		}
	}
	return nil
}

func (v *studyVerb) fromTable() ([]batch.PersonReading, error) {
	data, err := readListFile(v.list)
	if err != nil {
		return nil, err
	}
	out, err := batch.ParseStudy(data)
	var row *batch.StudyRowError
	if errors.As(err, &row) {
		for _, line := range strings.Split(err.Error(), "\n") {
			v.say("%s, %s", v.list, line)
		}
		return nil, errors.New("The table was not used: a study must be whole. Mend the rows named.")
	}
	if err != nil {
		return nil, usage("%s: %s", v.list, err)
	}
	return out, nil
}

// fromRecord takes the readings of kept batches that carry a person.
func (v *studyVerb) fromRecord(ctx context.Context, names []string) ([]batch.PersonReading, error) {
	s, err := v.openKept(ctx)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	var out []batch.PersonReading
	photos := map[string]record.ID{}
	for _, name := range names {
		entries, err := s.Find(ctx, record.Query{Batch: name, Limit: math.MaxInt32})
		if err != nil {
			return nil, err
		}
		for _, e := range slices.Backward(entries) {
			if e.Operator == "" || e.Part == "" {
				v.say("Reading %d of batch %q names no person or no part and is left out.", e.ID, name)
				continue
			}
			part := e.Part
			if e.Hole != "" {
				part += ", " + e.Hole
			}
			if of, twice := photos[part+"\x00"+e.PhotoSHA256]; twice && e.PhotoSHA256 != "" {
				v.say("Reading %d of batch %q is of the same photo as reading %d and is left out: a study wants a new photo each time.", e.ID, name, of)
				continue
			}
			photos[part+"\x00"+e.PhotoSHA256] = e.ID
			if !v.told && e.ToleranceMM > 0 {
				v.tolerance, v.told = e.ToleranceMM, true
			}
			out = append(out, batch.PersonReading{Part: part, Person: e.Operator, D: e.Mismatch})
		}
		if len(entries) == 0 {
			return nil, fmt.Errorf("No reading of batch %q has been kept in %s: see evenrim records.", name, s.Dir())
		}
	}
	return out, nil
}

func (v *studyVerb) write(axis string, s batch.Study) error {
	if !v.json {
		words := strings.Join(report.StudyWords(axis, s, chart.UnitOf(v.inch)), "\n  ")
		_, err := fmt.Fprintln(v.out, plainASCII(words))
		return err
	}
	b, err := json.Marshal(studyLine{
		Axis: axis, Parts: s.Parts, Persons: s.Persons, Readings: s.Trials, ToleranceMM: v.tolerance,
		Repeatability: three(s.Repeatability), Reproducibility: three(s.Reproducibility), Reading: three(s.Reading), Part: three(s.PartToPart),
		ToleranceShare: three(s.ToleranceShare), StudyShare: three(s.StudyShare), Distinct: orNull(s.Distinct),
		F: orNull(s.FInteraction), P: orNull(s.PInteraction), Pooled: s.Pooled,
		MeanSquares: [4]*float64{orNull(s.MSPart), orNull(s.MSPerson), orNull(s.MSInteraction), orNull(s.MSRepeat)},
		DOF:         [4]float64{s.DOFPart, s.DOFPerson, s.DOFInteraction, s.DOFRepeat}, Warnings: append([]string{}, s.Warnings...),
	})
	if err != nil {
		return err
	}
	_, err = v.out.Write(append(b, '\n'))
	return err
}
