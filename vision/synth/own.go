package synth

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// drawnBy stands in every truth: only what it stands beside is drawn over.
const drawnBy = "evenrim synth"

const (
	indexName = "index.json"
	listName  = "readings.csv"
)

// mayDraw refuses to draw over a picture, or write over a file, that is not this
// package's own: its truth beside it must say so.
func mayDraw(path string) error {
	truth := TruthPath(path)
	data, err := os.ReadFile(truth)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if there(path) {
			return badScene("out", "%s is there already and was not drawn by synth: choose another name, nothing is overwritten.", path)
		}
		return nil
	case err != nil:
		return fmt.Errorf("synth: look at %q: %w", truth, err)
	}
	var t struct {
		File    string `json:"file"`
		DrawnBy string `json:"drawn_by"`
	}
	if json.Unmarshal(data, &t) != nil || t.DrawnBy != drawnBy || t.File != filepath.Base(path) {
		return badScene("out", "%s is there already and is not the truth of this picture: choose another name, nothing is overwritten.", truth)
	}
	return nil
}

// clearFolder makes dir ready for n pictures named by pattern. A set drawn there before
// is taken away: its pictures would stand beside an index that doesn't name them, or under
// a truth that isn't theirs. It refuses, and takes nothing away, where anything that it
// would write over is not such a set's.
func clearFolder(dir string, pattern string, n int) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return fmt.Errorf("synth: look into %q: %w", dir, err)
	}
	before, err := drawnBefore(dir)
	if err != nil {
		return err
	}
	old := map[string]bool{}
	for _, t := range before {
		old[t.File] = true
	}
	if before != nil {
		old[indexName], old[listName] = true, true
	}
	taken := map[string]bool{indexName: true, listName: true}
	for i := range n {
		name := fmt.Sprintf(pattern, i+1)
		taken[name+JPEG.Ext()], taken[name+PNG.Ext()] = true, true
	}
	for _, e := range entries {
		if taken[e.Name()] && !old[e.Name()] {
			return badScene("dir", "%s is there already and no %s there says that synth drew it: give another folder, nothing is overwritten.", filepath.Join(dir, e.Name()), indexName)
		}
	}
	// The index last: broken off, what is left is still known for a set's.
	for _, t := range before {
		if err := remove(filepath.Join(dir, t.File)); err != nil {
			return err
		}
	}
	if before == nil {
		return nil
	}
	if err := remove(filepath.Join(dir, listName)); err != nil {
		return err
	}
	return remove(filepath.Join(dir, indexName))
}

// drawnBefore returns the truth of the set that was drawn into dir, nil where there is
// none. A set whose index or list a person has changed is refused.
func drawnBefore(dir string) ([]Truth, error) {
	data, err := os.ReadFile(filepath.Join(dir, indexName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, fmt.Errorf("synth: look at the set in %q: %w", dir, err)
	}
	foreign := badScene("dir", "%s has an %s that synth did not write: give another folder, nothing is overwritten.", dir, indexName)
	var set struct {
		Set    string  `json:"set"`
		Photos []Truth `json:"photos"`
	}
	if json.Unmarshal(data, &set) != nil || set.Set != setName || len(set.Photos) == 0 {
		return nil, foreign
	}
	for _, t := range set.Photos {
		if t.DrawnBy != drawnBy || t.File == "" || t.File != filepath.Base(t.File) || strings.HasPrefix(t.File, ".") {
			return nil, foreign
		}
	}
	list, err := os.ReadFile(filepath.Join(dir, listName))
	if err == nil && !bytes.Equal(list, listOf(set.Photos)) {
		return nil, badScene("dir", "%s was changed since synth wrote it: give another folder, nothing is overwritten.", filepath.Join(dir, listName))
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("synth: look at the set in %q: %w", dir, err)
	}
	return set.Photos, nil
}

func remove(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("synth: take the set drawn before away: %w", err)
	}
	return nil
}

func there(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}
