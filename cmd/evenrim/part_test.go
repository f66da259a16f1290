package main

import (
	"io"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/model"
)

// Which part a wall belongs to doesn't hang on the order of the rows.
func TestWallsFindTheirPartInAnyOrder(t *testing.T) {
	const head, wallA, wallNone = "part,wall,at_x,at_y,normal_deg,heights\n", "A,N,0,20,90,0.01\n", ",E,20,0,0,0.01\n"
	rows := func(parts ...string) []model.ListRow {
		var out []model.ListRow
		for _, p := range parts {
			out = append(out, model.ListRow{Photo: p + ".jpg", Part: p})
		}
		return out
	}
	for _, tt := range []struct {
		name, list string
		photos     []model.ListRow
		want       string // parts with their walls
	}{
		{"walls alone", "", nil, "A:N :E"},
		{"photos of one part", "x.csv", rows("B"), "A:N B:E"},
		{"photos of that part", "x.csv", rows("A"), "A:EN"},
		{"photos of several", "x.csv", rows("A", "B"), ""},
	} {
		for _, walls := range []string{wallA + wallNone, wallNone + wallA} {
			path := writeFile(t, filepath.Join(t.TempDir(), "walls.csv"), head+walls)
			v := &partVerb{app: &app{errOut: io.Discard}, list: tt.list, wallList: path}
			jobs, _ := partJobs(tt.photos)
			jobs, err := v.addWalls(jobs)
			if tt.want == "" {
				if err == nil || !strings.Contains(err.Error(), "names no part") {
					t.Errorf("%s: %v, want it asked for", tt.name, err)
				}
				continue
			}
			if err != nil {
				t.Fatalf("%s: %v", tt.name, err)
			}
			got := map[string]string{}
			for _, p := range jobs {
				for _, w := range []string{"E", "N"} { // in one order
					for _, r := range p.walls {
						if r.Wall.Name == w {
							got[p.name] += w
						}
					}
				}
			}
			for _, want := range strings.Fields(tt.want) {
				part, walls, _ := strings.Cut(want, ":")
				if got[part] != walls || len(got) != len(strings.Fields(tt.want)) {
					t.Errorf("%s, %q: %v, want %s", tt.name, walls, got, tt.want)
				}
			}
		}
	}
}
