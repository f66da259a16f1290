package main

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"evenrim/model"
	"evenrim/model/record"
)

func newReadCmd(a *app) *cobra.Command {
	v := &readVerb{app: a}
	cmd := &cobra.Command{
		Use:   "read --bore DIAMETER [--chamfer WIDTH] [--thickness LENGTH] [flags] PHOTO...",
		Short: "Read the mismatch from photos",
		Example: `  evenrim read --bore 10mm --chamfer 0.25mm --thickness 12mm bracket.jpg
  evenrim read --bore 0.5in --chamfer 10thou --tolerance 0.001in --inch *.jpg
  evenrim read --list readings.csv --json > readings.jsonl`,
		RunE: func(cmd *cobra.Command, args []string) error { return v.run(cmd.Context(), args) },
	}
	addJobFlags(cmd.Flags(), &v.job)
	cmd.Flags().StringVar(&v.list, "list", "", "read the photos named in this `csv file`, with its own columns for the flags")
	cmd.Flags().BoolVar(&v.json, "json", false, "write one JSON object a line instead of words")
	cmd.Flags().BoolVar(&v.save, "save", false, "keep each reading and its photo in the record")
	return cmd
}

type readVerb struct {
	*app
	job        model.JobCard
	list       string
	json, save bool
}

// run reads all photos on all processors and writes their results in the order
// they were named.
func (v *readVerb) run(ctx context.Context, photos []string) error {
	rows, err := v.rows(photos)
	if err != nil {
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
	out := &readOutput{app: v.app, json: v.json, total: len(rows)}
	out.showProgress = !v.quiet()
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
		if store != nil && res.reading != nil {
			// Not to be interrupted: a reading that was made is kept.
			id, of, err := store.KeepInPlace(context.WithoutCancel(ctx), res.reading, res.file, labelsOf(rows[i]), whoAmI())
			if err != nil {
				out.notKept(&res, err)
			}
			if of != 0 {
				out.clearProgress()
				out.sayInPlace(ctx, store, rows[i].Photo, res.reading, id, of)
			}
		}
		return out.write(rows[i].Photo, res)
	})
	out.clearProgress()
	if out.advised {
		v.caution()
	}
	if errors.Is(err, context.Canceled) {
		v.say("Stopped: %d of %d photos were done.", out.done, len(rows))
		if v.json {
			if err := out.stopped(rows, err); err != nil {
				return err
			}
		}
		return errMissed
	}
	if err != nil {
		return err
	}
	if out.missed > 0 {
		return errMissed
	}
	return nil
}

// rows are the photos named on the command line or in the list.
func (v *readVerb) rows(photos []string) ([]model.ListRow, error) {
	switch {
	case v.list != "" && len(photos) > 0:
		return nil, usage("Give either photos or --list, not both.")
	case v.list != "":
		return v.loadList(v.list, v.job)
	case len(photos) == 0:
		return nil, usage("No photo is named: write for example evenrim read --bore 10mm bracket.jpg, or use --list.")
	case v.job.BoreMM == 0:
		return nil, usage("The bore's diameter is missing: add for example --bore 10mm, as on the drawing.")
	}
	var field *model.FieldError
	if err := v.job.WithDefaults().Validate(); errors.As(err, &field) {
		return nil, usage("--%s: %s", field.Field, field.Sentence)
	} else if err != nil {
		return nil, err
	}
	rows := make([]model.ListRow, len(photos))
	for i, p := range photos {
		if isLoneUnit(p) {
			return nil, usage("A length and its unit are one word: write for example 10%s, not 10 %s.", p, p)
		}
		rows[i] = model.ListRow{Photo: p, Path: p, Job: v.job}
	}
	return rows, nil
}

// isLoneUnit says that a word given as a photo is the unit of a length that was typed with a
// blank before it: without the unit the number would count as mm.
func isLoneUnit(word string) bool {
	if _, err := os.Stat(word); err == nil || word == "" || strings.ContainsAny(word, "0123456789") {
		return false
	}
	_, err := model.ParseLength("1" + word)
	return err == nil
}

// loadList reads a list file; what it says of the file as a whole goes to stderr.
func (a *app) loadList(path string, defaults model.JobCard) ([]model.ListRow, error) {
	data, err := readListFile(path)
	if err != nil {
		return nil, err
	}
	list, err := model.ParseList(data, filepath.Dir(path), defaults)
	if err != nil {
		return nil, usage("%s: %s", path, err)
	}
	for _, n := range list.Notes {
		a.say("%s: %s", path, n)
	}
	return list.Rows, nil
}

func readListFile(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, usage("%s: There is no such list: check the name and the folder.", path)
	case err == nil && info.IsDir():
		return nil, usage("%s: This is a folder: name the csv file in it.", path)
	case err == nil && info.Mode().IsRegular() && info.Size() > model.MaxListBytes:
		return nil, usage("%s: The list has more than %d MB: is it the right file?", path, model.MaxListBytes>>20)
	}
	// What is no plain file has no size beforehand, and may have no end.
	var data []byte
	f, err := os.Open(path)
	if err == nil {
		data, err = readUpTo(f, model.MaxListBytes)
		f.Close()
	}
	switch {
	case errors.Is(err, errTooLong):
		return nil, usage("%s: The list has more than %d MB: is it the right file?", path, model.MaxListBytes>>20)
	case errors.Is(err, fs.ErrPermission):
		return nil, usage("%s: The list may not be read by this user: change its permissions.", path)
	case err != nil:
		return nil, usage("%s: The list could not be read: copy it to this computer's disk and try again.", path)
	}
	return data, nil
}

var errTooLong = errors.New("longer than any list")

// readUpTo reads all of from, or returns errTooLong.
func readUpTo(from io.Reader, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(from, limit+1))
	if err == nil && int64(len(data)) > limit {
		return nil, errTooLong
	}
	return data, err
}

// sayInPlace says that r's photo was in the record already, as reading of.
func (a *app) sayInPlace(ctx context.Context, store *record.Store, photo string, r *model.Reading, id, of record.ID) {
	a.say("%s: This photo was kept before, as reading %d: reading %d takes its place, and that one stays in the record as corrected.", photo, of, id)
	old, _, err := store.Get(ctx, of)
	const slack = math.Pi / 360 // half a degree, what an arrow drawn by hand is good for
	if err == nil && math.Abs(math.Remainder(old.Job.PlusX-r.Job.PlusX, 2*math.Pi)) > slack {
		a.say("%s: +X was at %.1f degrees then and is at %.1f now: if that is not meant, read it again with the right --plus-x, or plus_x in the list.",
			photo, old.Job.PlusX*180/math.Pi, r.Job.PlusX*180/math.Pi)
	}
}

func labelsOf(r model.ListRow) record.Labels {
	return record.Labels{Part: r.Part, Hole: r.Hole, Batch: r.Batch, HoleAt: r.HoleAt, TurnRad: r.Turn, Note: r.Note}
}
