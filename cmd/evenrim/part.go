package main

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"evenrim/model"
	"evenrim/model/record"
)

func newPartCmd(a *app) *cobra.Command {
	v := &partVerb{app: a}
	cmd := &cobra.Command{
		Use:   "part --list readings.csv [--walls walls.csv] [flags]",
		Short: "Where setup 2 landed on a part with several holes and walls",
		Long: `Reads the photos of a list and joins those of each part: photos of one hole
taken with the part turned become one reading, the holes one shift and rotation
of setup 2 against setup 1. Indicator readings across the steps of walls join in
from a second list. Photos whose row names no part are a part each.`,
		Example: `  evenrim part --list readings.csv --json
  evenrim part --list readings.csv --walls walls.csv --inch`,
		RunE: func(cmd *cobra.Command, args []string) error { return v.run(cmd.Context(), args) },
	}
	addJobFlags(cmd.Flags(), &v.job)
	cmd.Flags().StringVar(&v.list, "list", "", "read the photos named in this `csv file`")
	cmd.Flags().StringVar(&v.wallList, "walls", "", "indicator readings across the steps of walls, a `csv file`")
	cmd.Flags().BoolVar(&v.json, "json", false, "write one JSON object a part and line instead of words")
	cmd.Flags().BoolVar(&v.save, "save", false, "keep each reading and its photo in the record, and what a turn set says together")
	cmd.Flags().BoolVar(&v.rawEdge, "raw-edge", false, "a sawn, cast or rolled face was picked up as reference")
	cmd.Flags().IntVar(&v.trials, "monte-carlo", 0, "also propagate the uncertainty by this `number` of simulated trials")
	return cmd
}

type partVerb struct {
	*app
	job                 model.JobCard
	list, wallList      string
	json, save, rawEdge bool
	trials              int
	missed              int
	advised             bool // a machine was told to move
}

// partJob is one part while its photos come in.
type partJob struct {
	name    string
	waiting int // photos still to come
	photos  []model.HolePhoto
	walls   []model.WallRow
	kept    map[*model.Reading]record.ID
	notRead map[string]string
	reason  error // of the first photo without a reading
}

func (v *partVerb) run(ctx context.Context, args []string) error {
	switch {
	case len(args) > 0:
		return usage("The verb part takes lists: write evenrim part --list %s", args[0])
	case v.list == "" && v.wallList == "":
		return usage("No list is named: write for example evenrim part --list readings.csv")
	case v.trials != 0 && (v.trials < model.MinTrials || v.trials > model.MaxTrials):
		return usage("--monte-carlo takes %d to %d trials, for example 100000.", model.MinTrials, model.MaxTrials)
	}
	var rows []model.ListRow
	var err error
	if v.list != "" {
		if rows, err = v.loadList(v.list, v.job); err != nil {
			return err
		}
	}
	jobs, ofRow := partJobs(rows)
	if jobs, err = v.addWalls(jobs); err != nil {
		return err
	}
	var store *record.Store
	if v.save {
		if store, err = v.openRecord(ctx); err != nil {
			return err
		}
		defer store.Close()
		if store.ReadOnly() {
			return usage("The record in %s may only be read: name another folder with --data, or leave out --save.", store.Dir())
		}
	}
	for _, p := range jobs { // walls alone wait for no photo
		if p.waiting == 0 {
			if err := v.finish(p); err != nil {
				return err
			}
		}
	}
	workers := runtime.GOMAXPROCS(0)
	err = inOrder(len(rows), workers, 4*workers, func(i int) result {
		if rows[i].Err != nil {
			return result{err: rows[i].Err}
		}
		return readPhoto(ctx, rows[i].Path, rows[i].Job, store != nil)
	}, func(i int, res result) error {
		if errors.Is(res.err, context.Canceled) {
			return res.err
		}
		if !v.quiet() {
			fmt.Fprintf(v.errOut, "\r%d of %d photos\r", i+1, len(rows))
		}
		return v.take(ctx, store, ofRow[i], rows[i], res)
	})
	if err != nil {
		return err
	}
	if v.advised {
		v.caution()
	}
	if v.missed > 0 {
		return errMissed
	}
	return nil
}

// partJobs finds the parts of a list, in the order of their first photo, and the
// one of each row. A row that names no part, or is wrong, is a part of its own.
func partJobs(rows []model.ListRow) (jobs []*partJob, ofRow []*partJob) {
	byName := map[string]*partJob{}
	for _, r := range rows {
		name := r.Part
		p := byName[name]
		if p == nil || name == "" {
			if name == "" {
				name = r.Photo
			}
			p = &partJob{name: name, notRead: map[string]string{}, kept: map[*model.Reading]record.ID{}}
			jobs = append(jobs, p)
			if r.Part != "" {
				byName[r.Part] = p
			}
		}
		p.waiting++
		ofRow = append(ofRow, p)
	}
	return jobs, ofRow
}

// addWalls gives each wall of the list to its part; one that no photo belongs to
// is a part of walls alone. A wall that names no part is that of the photos, where they
// are all of one.
func (v *partVerb) addWalls(jobs []*partJob) ([]*partJob, error) {
	if v.wallList == "" {
		return jobs, nil
	}
	data, err := readListFile(v.wallList)
	if err != nil {
		return nil, err
	}
	rows, err := model.ParseWalls(data, v.job.WithDefaults().Flip)
	if err != nil {
		return nil, usage("%s: %s", v.wallList, err)
	}
	onePart := len(jobs) == 1 // before walls alone come in, so that their order doesn't matter
	for _, r := range rows {
		if r.Err != nil {
			v.missed++
			v.say("%s: %s", v.wallList, r.Err)
			continue
		}
		var of *partJob
		if r.Part == "" && onePart {
			of = jobs[0]
		}
		for _, p := range jobs {
			if p.name == r.Part {
				of = p
			}
		}
		if of == nil {
			if r.Part == "" && v.list != "" {
				return nil, usage("%s: Row %d names no part, and the photos are of several: fill in its column part.", v.wallList, r.Row)
			}
			of = &partJob{name: r.Part, notRead: map[string]string{}}
			jobs = append(jobs, of)
		}
		of.walls = append(of.walls, r)
	}
	return jobs, nil
}

// take adds one photo's result to its part, and finishes the part with the last.
func (v *partVerb) take(ctx context.Context, store *record.Store, p *partJob, row model.ListRow, res result) error {
	p.waiting--
	if res.err != nil {
		sentence := model.AsRefusal(res.err).Sentence
		v.missed++
		v.say("%s: %s", row.Photo, sentence)
		p.notRead[row.Photo] = sentence
		if p.reason == nil {
			p.reason = res.err
		}
	} else {
		photo := model.HolePhoto{Hole: row.Hole, At: row.HoleAt, TurnRad: row.Turn, Reading: res.reading}
		// The same picture once more in a list is no other reading.
		first := slices.IndexFunc(p.photos, func(h model.HolePhoto) bool { return h.Reading.SameHole(res.reading) })
		switch {
		case store == nil:
		case first >= 0 && !p.photos[first].OfHole(photo):
			v.missed++
			v.say("%s: This reading was not kept: the same hole in the same picture stands in another hole of part %s, too. See in the column hole which one is wrong.", row.Photo, p.name)
		case first < 0:
			// Not to be interrupted: a reading that was made is kept.
			id, of, err := store.KeepInPlace(context.WithoutCancel(ctx), res.reading, res.file, labelsOf(row), whoAmI())
			if err != nil {
				v.missed++
				v.say("%s: This reading was not kept: %s", row.Photo, err)
			} else {
				p.kept[res.reading] = id
				if of != 0 {
					v.sayInPlace(ctx, store, row.Photo, res.reading, id, of)
				}
			}
		}
		p.photos = append(p.photos, photo)
	}
	if p.waiting > 0 {
		return nil
	}
	defer func() { p.photos, p.kept = nil, nil }() // memory stays flat over many parts
	if store != nil {
		v.keepTurnSets(context.WithoutCancel(ctx), store, p)
	}
	return v.finish(p)
}

// keepTurnSets keeps what the photos of each hole say together, where the part was
// turned between them and all of them were kept.
func (v *partVerb) keepTurnSets(ctx context.Context, store *record.Store, p *partJob) {
	var photos []model.HolePhoto
	for _, h := range p.photos {
		if !slices.ContainsFunc(photos, func(o model.HolePhoto) bool { return o.Reading.SameHole(h.Reading) }) {
			photos = append(photos, h)
		}
	}
	holes, err := model.JoinHoles(photos)
	if err != nil {
		return // the part's own answer says why
	}
	for _, h := range holes {
		if j := h.Joined(versionText(), time.Now()); j != nil {
			if _, err := keepJoined(ctx, store, j, h.Readings, p.kept); err != nil {
				v.missed++
				v.say("Part %s, hole %s: The turn set was not kept: %s", p.name, h.Hole, err)
			}
		}
	}
}

// keepJoined keeps what readings say together under the numbers they were kept by.
func keepJoined(ctx context.Context, store *record.Store, j *model.Joined, readings []*model.Reading, kept map[*model.Reading]record.ID) (record.SetID, error) {
	var members []record.ID
	for _, r := range readings {
		id, ok := kept[r]
		if !ok {
			return 0, errors.New("not all of its readings were kept.")
		}
		members = append(members, id)
	}
	return store.KeepTurnSet(ctx, j, members)
}

// finish works a part out and writes it.
func (v *partVerb) finish(p *partJob) error {
	text, err := v.text(p)
	if err != nil {
		return fmt.Errorf("The result of part %s cannot be written: %w", p.name, err)
	}
	if _, err := v.out.Write(text); err != nil {
		return err
	}
	return nil
}

func (v *partVerb) text(p *partJob) ([]byte, error) {
	report, err := v.report(p)
	switch {
	case err != nil && v.json:
		line, err := model.PartRefusalLine(p.name, err)
		return append(line, '\n'), err
	case err != nil:
		return refusalInWords(p.name, model.AsRefusal(err)), nil
	case v.json:
		line, err := model.PartLine(report)
		return append(line, '\n'), err
	}
	v.advised = v.advised || !report.Advice.Empty()
	return partInWords(report), nil
}

// report joins, fits and judges a part. The error is for the user.
func (v *partVerb) report(p *partJob) (model.PartReport, error) {
	if len(p.photos) == 0 && len(p.walls) == 0 && p.reason != nil {
		return model.PartReport{}, p.reason
	}
	r, err := model.WorkOutPart(model.PartWork{Name: p.name, Job: v.job, Photos: p.photos, Walls: p.walls,
		RawEdge: v.rawEdge, NotRead: p.notRead, Machine: model.Machine{Inch: v.job.ShowInch}})
	if err != nil {
		v.missed++
		return r, err
	}
	if v.trials > 0 {
		s := model.SimulatePart(r.Fit, v.trials, 1)
		r.Simulation = &s
	}
	return r, nil
}
