package assets

import (
	"embed"
	"fmt"
	"path"
)

//go:embed part/*.jpg part/*.csv
var partFiles embed.FS

// SamplePart is a part with several holes and walls as lists and the photos they
// name.
type SamplePart struct {
	Readings, Walls []byte            // lists in the program's own formats, not to be changed
	Photos          map[string][]byte // by the name in the list
}

// Part returns the sample part: six holes of one bracket. A test holds that all
// of it is there, so there is no error to return.
func Part() SamplePart {
	s := SamplePart{Photos: map[string][]byte{}}
	files, err := partFiles.ReadDir("part")
	if err != nil {
		panic(fmt.Sprintf("assets: sample part: %v", err))
	}
	for _, f := range files {
		data, err := partFiles.ReadFile(path.Join("part", f.Name()))
		if err != nil {
			panic(fmt.Sprintf("assets: sample part: %v", err))
		}
		switch f.Name() {
		case "readings.csv":
			s.Readings = data
		case "walls.csv":
			s.Walls = data
		default:
			s.Photos[f.Name()] = data
		}
	}
	return s
}
