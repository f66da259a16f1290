package main

import (
	"context"
	"errors"
	"time"

	"evenrim/model"
	"evenrim/vision"
)

// result is what became of one photo.
type result struct {
	reading *model.Reading
	file    []byte // of the photo, when it is to be kept
	err     error  // a *model.Refusal, a *model.FieldError or a context's
}

// readPhoto makes a reading of the photo at path. A panic on the way becomes a
// refusal of this photo, so that the others are still read.
func readPhoto(ctx context.Context, path string, job model.JobCard, keepFile bool) (res result) {
	defer func() {
		if fault := recover(); fault != nil {
			refusal := model.AsRefusal(errors.New("fault"))
			refusal.Sentence = "The program could not finish this photo, a fault of its own: " + reportFault(fault)
			res = result{err: refusal}
		}
	}()
	start := time.Now()
	photo, err := vision.Open(ctx, path)
	if err != nil {
		return result{err: err}
	}
	defer photo.Close()
	trace, err := vision.Trace(ctx, photo, job.WithDefaults(), nil)
	if err != nil {
		return result{err: err}
	}
	reading, err := model.Solve(trace, job)
	if err != nil {
		return result{err: err}
	}
	if !reading.Mismatch.IsFinite() {
		return result{err: model.Refuse(model.Unsure, "The rims were found but give no mismatch: take a sharper photo, straight down the bore.")}
	}
	reading.Photo = photo.Info
	reading.Warnings = append(reading.Warnings, photo.Notes...)
	reading.Version, reading.MadeAt = versionText(), start
	reading.Seconds = time.Since(start).Seconds()
	if keepFile {
		res.file = photo.File()
	}
	res.reading = reading
	return res
}
