package synth

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
)

// MaxSet is the most pictures WriteSet draws in one go.
const MaxSet = 100000

// setPattern names a set's pictures, and setName stands in its index.
const (
	setPattern = "s%05d"
	setName    = "synth"
)

// WriteSet draws n random pictures into dir, the lights in turn and turns of each hole (see
// RandomTurned), with their truth in index.json and the inputs alone in readings.csv: a
// folder that evenrim bench --photos reads. The folder is made if it isn't there; a set
// drawn there before is replaced, anything else there refused. The same seed gives the same
// folder. done, if not nil, is told after each picture.
func WriteSet(ctx context.Context, dir string, n, turns int, seed uint64, done func(i int)) error {
	if turns < 1 || turns > MostTurns {
		return badScene("turns", "Each hole has 1 to %d photos; %d were asked for.", MostTurns, turns)
	}
	scene := func(i int) Scene { return RandomTurned(mix(seed), i, turns) }
	return WriteScenes(ctx, dir, n, scene, done)
}

// WriteScenes is WriteSet for scenes of one's own.
func WriteScenes(ctx context.Context, dir string, n int, scene func(i int) Scene, done func(i int)) error {
	if n < 1 || n > MaxSet {
		return badScene("count", "A set has 1 to %d pictures; %d were asked for.", MaxSet, n)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("synth: make folder %q: %w", dir, err)
	}
	if err := clearFolder(dir, setPattern, n); err != nil {
		return err
	}
	all := make([]Truth, 0, n)
	for i := range n {
		if err := ctx.Err(); err != nil {
			return err
		}
		s := scene(i).WithDefaults()
		p, t, err := Draw(s)
		if err != nil {
			return fmt.Errorf("synth: picture %d of the set: %w", i+1, err)
		}
		t.name(fmt.Sprintf(setPattern, i+1) + s.Format.Ext())
		if err := p.writeTo(dir, t); err != nil {
			return err
		}
		all = append(all, t)
		if done != nil {
			done(i)
		}
	}
	return writeIndex(dir, all)
}

// writeTo writes the picture to dir under the name its truth has.
func (p *Picture) writeTo(dir string, t Truth) error {
	data, err := p.Encode()
	if err != nil {
		return err
	}
	return writeWhole(filepath.Join(dir, t.File), data)
}

// writeIndex writes index.json and readings.csv for pictures that are in dir.
func writeIndex(dir string, all []Truth) error {
	js, err := json.MarshalIndent(struct {
		Set    string  `json:"set"`
		Count  int     `json:"count"`
		Photos []Truth `json:"photos"`
	}{setName, len(all), all}, "", " ")
	if err != nil {
		return fmt.Errorf("synth: index of %q: %w", dir, err)
	}
	if err := writeWhole(filepath.Join(dir, indexName), append(js, '\n')); err != nil {
		return err
	}
	return writeWhole(filepath.Join(dir, listName), listOf(all))
}

// listOf is the inputs, without truth, as a list that evenrim read takes.
func listOf(all []Truth) []byte {
	var list bytes.Buffer
	w := csv.NewWriter(&list)
	num := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	w.Write([]string{"photo", "bore", "chamfer", "angle", "thickness", "plus_x", "tolerance", "part", "turn"})
	for _, t := range all {
		part, turn := t.ID, ""
		if t.Series != nil {
			part, turn = *t.Series, num(round(t.Turn, 1))
		}
		w.Write([]string{t.File, num(t.Bore) + "mm", num(t.Nominal) + "mm", num(t.Half), num(t.Thick) + "mm", num(round(t.PlusX, 3)), "0.001in", part, turn})
	}
	w.Flush() // a buffer takes everything
	return list.Bytes()
}
