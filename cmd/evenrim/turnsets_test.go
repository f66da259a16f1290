package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/assets"
	"evenrim/model"
	"evenrim/model/record"
	"evenrim/ui/port"
)

// turnList writes a list of the four photos of the demo's turn set.
func turnList(t *testing.T) string {
	t.Helper()
	photos, err := filepath.Abs(filepath.Join("..", "..", "testdata", "photos"))
	if err != nil {
		t.Fatal(err)
	}
	list := "photo,bore,chamfer,thickness,plus_x,part,hole,turn\n"
	for i, plusX := range []float64{151.620, -118.950, -29.608, 61.742} { // as in testdata/photos/readings.csv
		list += fmt.Sprintf("%s/valve-rod-bracket-%03d.jpg,8mm,0.3mm,12.83mm,%g,Valve rod bracket,A,%d\n", photos, 90*i, plusX, 90*i)
	}
	path := filepath.Join(t.TempDir(), "turns.csv")
	if err := os.WriteFile(path, []byte(list), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// A picture that stands twice in a list is kept once, and its turn set stays the last word.
func TestAPictureTwiceInAListIsKeptOnce(t *testing.T) {
	list := turnList(t)
	b, err := os.ReadFile(list)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(b)), "\n")
	if err := os.WriteFile(list, []byte(strings.Join(append(lines, lines[1]), "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	data := filepath.Join(t.TempDir(), "shop")
	code, out, words := call(t, "part", "--list", list, "--save", "--data", data)
	if code != exitOK || !strings.Contains(out, "is in this hole twice and counts once") || !strings.Contains(out, "; 4 of 5 photos joined, ") || strings.Contains(words, "kept before") {
		t.Errorf("part: %d, %s%s", code, out, words)
	}
	code, out, words = runRecords(t, data, "turns", "--json")
	var set setLine
	if err := json.Unmarshal([]byte(out), &set); err != nil || code != exitOK || fmt.Sprint(set.Records) != "[1 2 3 4]" || set.Outdated {
		t.Errorf("records turns: %d, %v, %s%s", code, err, out, words)
	}
}

// A picture that stands in two holes of a part is in one of them by mistake: it is kept for
// the first alone, the verb says that it did not keep the other, and ends like that.
func TestAPictureInTwoHolesIsKeptForTheFirstAndSaid(t *testing.T) {
	list := turnList(t)
	b, err := os.ReadFile(list)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(b)), "\n")
	if err := os.WriteFile(list, []byte(strings.Join(append(lines[:2], strings.Replace(lines[1], ",A,", ",B,", 1)), "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, words := call(t, "part", "--list", list)
	if code != exitOK || !strings.Contains(out, "Holes A and B were read from the same place in the same picture") || strings.Contains(words, "not kept") {
		t.Errorf("part that keeps nothing: %d, %s%s", code, out, words)
	}
	data := filepath.Join(t.TempDir(), "shop")
	code, _, words = call(t, "part", "--list", list, "--save", "--data", data)
	if code != exitMissed || !strings.Contains(words, "valve-rod-bracket-000.jpg: This reading was not kept: the same hole in the same picture stands in another hole of part Valve rod bracket, too.") {
		t.Errorf("part: %d, %s", code, words)
	}
	if code, out, words = runRecords(t, data, "--json"); code != exitOK || strings.Count(out, "\n") != 1 || !strings.Contains(out, `"hole":"A"`) {
		t.Errorf("records: %d, %s%s", code, out, words)
	}
}

// A set of a picture and its copy, as an older window may have kept it, is listed and shown as what it
// is: one picture.
func TestAKeptSetCountsAPictureOnce(t *testing.T) {
	ctx := context.Background()
	data := filepath.Join(t.TempDir(), "shop")
	store, err := record.Open(ctx, data)
	k := newShelf(store, err)
	defer k.Close()
	s := assets.Samples()[0]
	var readings []*model.Reading
	var members []string
	for i := range 2 {
		r := *aReading()
		r.Photo = model.Photo{Name: s.Name, SHA256: record.HashPhoto(s.Data)}
		r.Job.ShowInch, r.MadeAt = true, r.MadeAt.AddDate(0, 0, i)
		id, err := k.Keep(ctx, &r, port.Source{Name: s.Name, Data: s.Data})
		if err != nil {
			t.Fatal(err)
		}
		readings, members = append(readings, &r), append(members, id)
	}
	h, err := model.JoinHole("A", nil, readings, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := k.KeepSet(ctx, h.Joined("test", time.Unix(0, 0)), members); err != nil {
		t.Fatal(err)
	}
	if rows, err := k.LastSets(ctx, 5); err != nil || len(rows) != 1 || rows[0].Photos != 1 || !rows[0].ShowInch {
		t.Errorf("LastSets = %+v, %v; want one set of one picture, shown in inches", rows, err)
	}
	code, out, words := runRecords(t, data, "show", "T1")
	if code != exitOK || !strings.Contains(out, "1 of 2 photos joined") || !strings.Contains(out, "counts once") {
		t.Errorf("records show T1: %d, %s%s", code, out, words)
	}
}

func TestPartKeepsTurnSetsAndTheyAreListedShownAndReported(t *testing.T) {
	data := filepath.Join(t.TempDir(), "shop")
	code, out, words := call(t, "part", "--list", turnList(t), "--json", "--save", "--data", data)
	if code != exitOK {
		t.Fatalf("part: %d, %s", code, words)
	}
	var part struct {
		Holes []struct {
			DX float64 `json:"dx_mm"`
		}
	}
	if err := json.Unmarshal([]byte(out), &part); err != nil || len(part.Holes) != 1 {
		t.Fatalf("%v in %s", err, out)
	}

	code, out, words = runRecords(t, data, "turns", "--json")
	var set setLine
	if err := json.Unmarshal([]byte(out), &set); err != nil || code != exitOK {
		t.Fatalf("records turns: %d, %v, %s", code, err, words)
	}
	if set.Set != "T1" || fmt.Sprint(set.Records) != "[1 2 3 4]" || set.Part != "Valve rod bracket" || set.Hole != "A" || set.Outdated {
		t.Errorf("listed as %+v", set)
	}
	if set.DX == nil || math.Abs(*set.DX-part.Holes[0].DX) > 1e-6 {
		t.Errorf("kept with another dx than %g mm, as worked out: %s", part.Holes[0].DX, out)
	}

	if code, out, _ = runRecords(t, data, "show", "T1"); code != exitOK || !strings.Contains(out, "4 photos joined") {
		t.Errorf("records show T1: %d %q", code, out)
	}
	pdf := filepath.Join(t.TempDir(), "t1.pdf")
	if code, _, words = call(t, "report", "--record", "T1", "--data", data, "--out", pdf); code != exitOK {
		t.Fatalf("report: %d %s", code, words)
	}
	if b, err := os.ReadFile(pdf); err != nil || !bytes.HasPrefix(b, []byte("%PDF-")) || len(b) < 20_000 {
		t.Errorf("report: %v, %d bytes", err, len(b))
	}
	if code, _, words = runRecords(t, data, "check"); code != exitOK {
		t.Errorf("records check: %d %s", code, words)
	}
	// One that isn't there is said so in a sentence.
	if code, _, words = call(t, "report", "--record", "T7", "--data", data, "--out", pdf); code != exitMissed || !strings.Contains(words, "There is no turn set T7") {
		t.Errorf("report of none: %d %q", code, words)
	}
}
