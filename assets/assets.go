// Package assets holds what ships inside the program: sample photos with their
// job cards. Where they come from is told in photos/README.md.
package assets

import (
	"embed"
	"fmt"
	"path"

	"evenrim/model"
)

//go:embed photos/*.jpg photos/samples.csv
var files embed.FS

// Sample is a photo of the demonstration job with its job card.
type Sample struct {
	Name  string // of the file
	Data  []byte // of the file, not to be changed
	Card  model.JobCard
	Words string // what it shows, a few words
}

// Samples returns the sample photos, the plainest first. A test holds that all of
// them are there and readable, so there is no error to return.
func Samples() []Sample {
	list, err := files.ReadFile("photos/samples.csv")
	if err != nil {
		panic(fmt.Sprintf("assets: list of samples: %v", err))
	}
	parsed, err := model.ParseList(list, "photos", model.JobCard{})
	if err != nil {
		panic(fmt.Sprintf("assets: list of samples: %v", err))
	}
	out := make([]Sample, 0, len(parsed.Rows))
	for _, r := range parsed.Rows {
		data, err := files.ReadFile(path.Join("photos", r.Photo))
		if err != nil || r.Err != nil {
			panic(fmt.Sprintf("assets: sample %s: %v, %v", r.Photo, err, r.Err))
		}
		card := r.Job
		card.Name = r.Part
		out = append(out, Sample{Name: r.Photo, Data: data, Card: card, Words: r.Note})
	}
	return out
}
