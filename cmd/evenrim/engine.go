package main

import (
	"context"
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
			res = result{err: faultRefusal(fault)}
		}
	}()
	start := time.Now()
	photo, err := vision.Open(ctx, path)
	if err != nil {
		return result{err: err}
	}
	defer photo.Close()
	return measure(ctx, photo, job, keepFile, start)
}

// measure makes a reading of an open photo; start is when the work on it began.
func measure(ctx context.Context, photo *vision.Photo, job model.JobCard, keepFile bool, start time.Time) (res result) {
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
	reading.Version, reading.MadeAt = versionText(), start
	reading.Seconds = time.Since(start).Seconds()
	if keepFile {
		res.file = photo.File()
	}
	res.reading = reading
	return res
}

// faultRefusal is what a user is told about a panic.
func faultRefusal(fault any) *model.Refusal {
	return &model.Refusal{Reason: model.Failed, Sentence: "The program could not finish this photo, a fault of its own: " + reportFault(fault)}
}
