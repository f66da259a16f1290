package main

import (
	"bufio"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"evenrim/model/record"
	"evenrim/model/report"
	"evenrim/ui/port"
)

// The truth is the geometry the pictures were rendered from
// (testdata/photos/index.json). Accuracy is tested elsewhere; here a limit of
// 10 um shows that flags, axes, signs and units arrive where they belong.
func TestReadFromFlags(t *testing.T) {
	for _, tt := range []struct {
		name   string
		args   []string
		dx, dy float64
	}{
		{"mm", []string{"--bore", "8mm", "--chamfer", "0.3mm", "--thickness", "10.57mm", "--plus-x", "-157.054", "crosshead-bracket.jpg"}, 0.08, -0.000065},
		{"inches, decimal comma", []string{"--bore", "1/2in", "--chamfer", "10thou", "--thickness", "11,51", "--plus-x", "-2.726°", "feed-pump-bracket.jpg"}, 0.118554, -0.018575},
		{"+X the other way", []string{"--bore", "0.5in", "--chamfer", "0.254mm", "--thickness", "11.51mm", "--plus-x", "177.274", "feed-pump-bracket.jpg"}, -0.118554, 0.018575},
	} {
		t.Run(tt.name, func(t *testing.T) {
			last := len(tt.args) - 1
			tt.args[last] = "../../assets/photos/" + tt.args[last]
			code, out, words := call(t, append([]string{"read", "--json"}, tt.args...)...)
			lines := jsonLines(t, out)
			if code != 0 || len(lines) != 1 || !lines[0].OK || words != "" {
				t.Fatalf("exit code %d, %s%s", code, out, words)
			}
			l := lines[0]
			if l.Photo != tt.args[last] || l.DX == nil || l.DY == nil || math.Hypot(*l.DX-tt.dx, *l.DY-tt.dy) > 0.010 {
				t.Errorf("%s; want dx %.4f dy %.4f within 0.010 mm", out, tt.dx, tt.dy)
			}
		})
	}
}

// Each photo has its line, in order, whatever became of the others.
func TestReadGoodAndBadTogether(t *testing.T) {
	dir := t.TempDir()
	good, err := os.ReadFile("../../assets/photos/crosshead-bracket.jpg")
	if err != nil {
		t.Fatal(err)
	}
	half := writeFile(t, filepath.Join(dir, "half.jpg"), string(good[:len(good)/2]))
	list := strings.Join([]string{
		"photo,bore,chamfer,plus_x",
		"ok.jpg,8mm,0.3mm,-157.054",
		"missing.jpg,8mm,0.3mm,0",
		"half.jpg,8mm,0.3mm,0",
		"ok.jpg,8 furlongs,0.3mm,0",
		"text.jpg,8mm,0.3mm,0",
		"ok.jpg,8mm,5mm,0",
		".,8mm,0.3mm,0",
		"ok.jpg,8mm,0.3mm,-157.054",
	}, "\n")
	path := writeFile(t, filepath.Join(dir, "list.csv"), list)
	writeFile(t, filepath.Join(dir, "ok.jpg"), string(good))
	writeFile(t, filepath.Join(dir, "text.jpg"), "not a picture")
	_ = half
	code, out, words := call(t, "read", "--list", path, "--json")
	want := []struct{ photo, reason, mentions string }{
		{"ok.jpg", "", ""}, {"missing.jpg", "not-found", "no such file"}, {"half.jpg", "unreadable", "damaged"},
		{"ok.jpg", "bad-input", "Row 5 of the list: In column bore"}, {"text.jpg", "unreadable", "not a picture"},
		{"ok.jpg", "bad-input", "Row 7 of the list: "}, {".", "bad-input", "folder"}, {"ok.jpg", "", ""},
	}
	lines := jsonLines(t, out)
	if code != 1 || len(lines) != len(want) || words != "" {
		t.Fatalf("exit code %d, %d lines (want 1, %d), stderr %q:\n%s", code, len(lines), len(want), words, out)
	}
	for i, w := range want {
		l := lines[i]
		if l.Photo != w.photo || l.OK != (w.reason == "") || l.Reason != w.reason || !strings.Contains(l.Error, w.mentions) {
			t.Errorf("line %d: %+v, want %+v", i+1, l, w)
		}
	}
	// The same in words has one block a photo.
	code, out, _ = call(t, "read", "--list", path)
	if n := strings.Count(out, "No reading: "); code != 1 || n != 6 {
		t.Errorf("in words: exit code %d, %d photos without a reading, want 1, 6:\n%s", code, n, out)
	}
}

func TestReadWrongUse(t *testing.T) {
	dir := t.TempDir()
	photo := "../../assets/photos/crosshead-bracket.jpg"
	noPhotoColumn := writeFile(t, filepath.Join(dir, "a.csv"), "picture\nx.jpg\n")
	for _, tt := range []struct {
		mentions string
		args     []string
	}{
		{"No photo is named", []string{"read"}},
		{"bore's diameter is missing", []string{"read", photo}},
		{"unknown unit", []string{"read", "--bore", "10 furlongs", photo}},
		{"more than zero", []string{"read", "--bore", "-3", photo}},
		{"outside", []string{"read", "--bore", "1e6mm", photo}},
		{"as wide as", []string{"read", "--bore", "8mm", "--chamfer", "4mm", photo}},
		{"--tolerance", []string{"read", "--bore", "8mm", "--tolerance", "0", photo}},
		{"half-angle", []string{"read", "--bore", "8mm", "--angle", "89", photo}},
		{"needs a value, for example --bore 10mm", []string{"read", "--bore"}},
		{"needs a value (csv file)", []string{"read", "--list"}},
		{"needs a value (number)", []string{"report", "--record"}},
		{"needs a value (1 to 100)", []string{"synth", "--quality"}},
		{"\"x\" is not a whole number from 0 up", []string{"synth", "--out", filepath.Join(dir, "x.png"), "--seed", "x"}},
		{"\"-1\" is not a whole number from 0 up", []string{"apprentice", "--sheet", filepath.Join(dir, "x.pdf"), "--series", "-1"}},
		{"\"2.5\" is not a whole number.", []string{"bench", "--count", "2.5"}},
		{"\"99999999999999999999\" is too large", []string{"bench", "--count", "99999999999999999999"}},
		{"\"soft\" is not a number", []string{"synth", "--out", filepath.Join(dir, "x.png"), "--blur", "soft"}},
		{"write --json alone", []string{"read", "--json=perhaps"}},
		{"A length and its unit are one word", []string{"read", "--bore", "8", "mm", photo}},
		{"A length and its unit are one word", []string{"report", "--bore", "0.5", "in", photo, "--out", filepath.Join(dir, "x.pdf")}},
		{"no verb \"raed\"", []string{"help", "raed"}},
		{"no flag", []string{"read", "--bohr", "8mm", photo}},
		{"not both", []string{"read", "--list", noPhotoColumn, photo}},
		{"no column photo", []string{"read", "--list", noPhotoColumn}},
		{"no such list", []string{"read", "--list", filepath.Join(dir, "none.csv")}},
		{"folder", []string{"read", "--list", dir}},
		{"did you mean evenrim read", []string{"raed", photo}},
		{"no display", []string{photo}},
		{"takes no", []string{"version", "x"}},
	} {
		t.Run(tt.mentions, func(t *testing.T) {
			code, out, words := call(t, tt.args...)
			if code != 2 || out != "" || !strings.Contains(words, tt.mentions) || strings.Count(words, "\n") != 1 {
				t.Errorf("exit code %d, stdout %q, stderr %q; want 2, nothing, and one sentence that mentions %q", code, out, words, tt.mentions)
			}
		})
	}
}

func TestReadSavesWhatWasReadAlone(t *testing.T) {
	data := filepath.Join(t.TempDir(), "shop")
	list := writeFile(t, filepath.Join(t.TempDir(), "list.csv"), "photo,bore,chamfer,part,turn\n"+
		abs(t, "../../assets/photos/crosshead-bracket.jpg")+",8mm,0.3mm,bracket 7,90\nnone.jpg,8mm,,,\n")
	code, out, words := call(t, "read", "--list", list, "--json", "--save", "--data", data)
	if code != 1 || len(jsonLines(t, out)) != 2 {
		t.Fatalf("exit code %d: %s%s", code, out, words)
	}
	s, err := record.Open(context.Background(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	kept, err := s.Last(context.Background(), 10)
	if err != nil || len(kept) != 1 {
		t.Fatalf("%d readings kept, %v; want 1", len(kept), err)
	}
	e := kept[0]
	if e.Part != "bracket 7" || e.TurnRad == nil || math.Abs(*e.TurnRad-math.Pi/2) > 1e-12 || *jsonLines(t, out)[0].DX != math.Round(e.Mismatch.X*1e6)/1e6 {
		t.Errorf("kept %+v of %s", e, out)
	}
	if photo, err := s.Photo(context.Background(), e.PhotoSHA256); err != nil || record.HashPhoto(photo) != e.PhotoSHA256 {
		t.Errorf("the kept photo: %d bytes, %v", len(photo), err)
	}
}

// The same file is the same part: read and saved again it counts once, in the terminal as
// in the window, and nothing is lost.
func TestAPhotoSavedAgainCountsOnce(t *testing.T) {
	data := filepath.Join(t.TempDir(), "shop")
	photo := abs(t, "../../assets/photos/crosshead-bracket.jpg")
	list := writeFile(t, filepath.Join(t.TempDir(), "list.csv"), "photo,bore,chamfer,part,batch\n"+photo+",8mm,0.3mm,bracket 7,March\n")
	if code, _, words := call(t, "read", "--list", list, "--save", "--data", data); code != 0 || strings.Contains(words, "kept before") {
		t.Fatalf("exit code %d: %s", code, words)
	}
	code, _, words := call(t, "read", "--bore", "8mm", "--chamfer", "0.3mm", "--plus-x", "20", "--save", "--data", data, photo)
	if code != 0 || !strings.Contains(words, "kept before, as reading 1: reading 2 takes its place") || !strings.Contains(words, "+X was at 0.0 degrees then and is at 20.0 now") {
		t.Errorf("exit code %d: %s", code, words)
	}
	code, _, words = call(t, "part", "--list", list, "--save", "--data", data)
	if code != 0 || !strings.Contains(words, "kept before, as reading 2: reading 3 takes its place") {
		t.Errorf("exit code %d: %s", code, words)
	}

	s, err := record.Open(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	window := newShelf(s, nil)
	r, _, err := s.Get(t.Context(), 3)
	if err != nil {
		t.Fatal(err)
	}
	another := *r
	another.MadeAt = r.MadeAt.AddDate(0, 0, 1)
	if _, err := window.Keep(t.Context(), &another, port.Source{Path: photo}); err != nil {
		t.Fatal(err)
	}
	another.MadeAt = r.MadeAt.AddDate(0, 0, 2)
	id, err := window.KeepOfPart(t.Context(), &another, port.Source{Path: photo}, port.PartLabels{Hole: "A"})
	if err != nil {
		t.Fatal(err)
	}
	kept, err := window.Last(t.Context(), 10)
	if err != nil || len(kept) != 1 || kept[0].ID != id || kept[0].Replaces != "4" || kept[0].Why != record.WhyAgain || kept[0].Part != "bracket 7" {
		t.Errorf("in the window: %+v, %v; want no. %s alone, of bracket 7, in the place of no. 4", kept, err, id)
	}
	all, err := s.Find(t.Context(), record.Query{Batch: "March", WithReplaced: true})
	if err != nil || len(all) != 5 || all[0].Hole != "A" {
		t.Errorf("%d readings of the batch, %v; want all 5, the last with its hole", len(all), err)
	}
}

// The list has room for a photo's name, which folders would push out of it.
func TestRecordsNamePhotosWithoutFolders(t *testing.T) {
	data := filepath.Join(t.TempDir(), "shop")
	far := filepath.Join(t.TempDir(), "photos of the brackets that were made", "in the spring of 2031")
	if err := os.MkdirAll(far, 0o700); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile("../../assets/photos/crosshead-bracket.jpg")
	if err != nil {
		t.Fatal(err)
	}
	photo := writeFile(t, filepath.Join(far, "first.jpg"), string(b))
	if code, _, words := call(t, "read", "--bore", "8mm", "--save", "--data", data, photo); code != exitOK {
		t.Fatalf("%d, %s", code, words)
	}
	if code, out, _ := call(t, "records", "--data", data); code != exitOK || !strings.Contains(out, "first.jpg") || strings.Contains(out, "spring") {
		t.Errorf("%d, %s", code, out)
	}
	if code, out, _ := call(t, "records", "--json", "--data", data); code != exitOK || !strings.Contains(out, "spring") {
		t.Errorf("in JSON: %d, %s", code, out)
	}
}

// Who looks at, or prints, a reading that has been corrected is told which one counts.
func TestACorrectedReadingSaysWhichCounts(t *testing.T) {
	data, list := filepath.Join(t.TempDir(), "shop"), turnList(t)
	for range 2 {
		if code, _, words := call(t, "part", "--list", list, "--save", "--data", data); code != exitOK {
			t.Fatalf("%d, %s", code, words)
		}
	}
	s, err := record.Open(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	window := newShelf(s, nil)
	for id, want := range map[string]report.Labels{
		"1":  {Part: "Valve rod bracket", Hole: "A", Record: "1", Outdated: "Reading 5 corrects reading 1 and counts instead."},
		"5":  {Part: "Valve rod bracket", Hole: "A", Record: "5"},
		"T1": {Part: "Valve rod bracket", Hole: "A", Record: "T1", Outdated: "A reading of T1 has been corrected since: join its photos anew."},
	} {
		if got, err := window.Describe(t.Context(), id); err != nil || got != want {
			t.Errorf("the window prints %s with %+v, %v; want %+v", id, got, err, want)
		}
	}
	for what, want := range map[string]string{"1": "Reading 5 corrects reading 1 and counts instead.", "5": "", "T1": "A reading of T1 has been corrected since: join its photos anew.", "T2": ""} {
		code, _, words := call(t, "records", "show", what, "--data", data)
		if code != exitOK || want == "" && strings.Contains(words, "correct") || !strings.Contains(words, want) {
			t.Errorf("show %s: %d, %q, want %q", what, code, words, want)
		}
	}
}

func TestReadIntoAFolderThatCannotBe(t *testing.T) {
	file := writeFile(t, filepath.Join(t.TempDir(), "file"), "x")
	code, out, words := call(t, "read", "--bore", "8mm", "--save", "--data", file, "../../assets/photos/crosshead-bracket.jpg")
	if code == 0 || out != "" || strings.Count(words, "\n") != 1 {
		t.Errorf("exit code %d, stdout %q, stderr %q; want a sentence before any work", code, out, words)
	}
}

func TestFullDiskIsSaid(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("no /dev/full here")
	}
	defer full.Close()
	cmd := program(t, "read", "--bore", "8mm", "--json", "../../assets/photos/crosshead-bracket.jpg")
	var words strings.Builder
	cmd.Stdout, cmd.Stderr = full, &words
	if code := exitOf(t, cmd.Run()); code != 1 || !strings.Contains(words.String(), "cannot be written") {
		t.Errorf("exit code %d, stderr %q", code, words.String())
	}
}

// Ctrl-C after the first result: a whole line for each photo, those that weren't read
// as cancelled, and a quick end.
func TestInterruptLeavesWholeLines(t *testing.T) {
	var list strings.Builder
	list.WriteString("photo,bore,chamfer\n")
	const n = 400
	for range n {
		fmt.Fprintf(&list, "%s,8mm,0.3mm\n", abs(t, "../../assets/photos/crosshead-bracket.jpg"))
	}
	cmd := program(t, "read", "--json", "--list", writeFile(t, filepath.Join(t.TempDir(), "list.csv"), list.String()))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var words strings.Builder
	cmd.Stderr = &words
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	r := bufio.NewReader(out)
	first, err := r.ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	var rest strings.Builder
	if _, err := r.WriteTo(&rest); err != nil {
		t.Fatal(err)
	}
	code, took := exitOf(t, cmd.Wait()), time.Since(start)
	lines := jsonLines(t, first+rest.String())
	read := 0
	for i, l := range lines {
		if l.OK && read == i {
			read++
		} else if l.OK || l.Reason != "cancelled" {
			t.Errorf("line %d of a photo that was not read: %+v", i+1, l)
		}
	}
	if code != 1 || len(lines) != n || read >= n || took > 40*time.Second || !strings.Contains(words.String(), fmt.Sprintf("Stopped: %d of %d", read, n)) {
		t.Errorf("exit code %d after %v, %d lines, %d of photos that were read, stderr %q", code, took, len(lines), read, words.String())
	}
}

func TestWithoutDisplayTheReadingIsPrinted(t *testing.T) {
	code, out, words := call(t, "--sample")
	if code != 0 || !strings.Contains(out, "X +0.0") || !strings.Contains(out, "+/- 0.0") || !strings.Contains(words, "no display") {
		t.Errorf("--sample: exit code %d, stdout %q, stderr %q", code, out, words)
	}
	code, out, words = call(t, "--bore", "8mm", "--chamfer", "0.3mm", "../../assets/photos/crosshead-bracket.jpg")
	if code != 0 || !strings.Contains(out, "crosshead-bracket.jpg\n  X ") || !strings.Contains(words, "no display") {
		t.Errorf("a photo: exit code %d, stdout %q, stderr %q", code, out, words)
	}
	code, out, words = call(t)
	if code != 1 || out != "" || !strings.Contains(words, "no display") {
		t.Errorf("nothing: exit code %d, stdout %q, stderr %q", code, out, words)
	}
	cmd := program(t, "--sample")
	cmd.Env = append(cmd.Env, "DISPLAY=:4711") // nobody there
	var b strings.Builder
	cmd.Stderr = &b
	if code := exitOf(t, cmd.Run()); code != 0 || strings.Count(b.String(), "\n") != 1 {
		t.Errorf("a display that does not answer: exit code %d, stderr %q", code, b.String())
	}
}

func abs(t *testing.T, path string) string {
	t.Helper()
	p, err := filepath.Abs(path)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
