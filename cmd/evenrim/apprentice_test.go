package main

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/practice"
	"evenrim/model/record"
	"evenrim/vision/synth"
)

// The camera and the shape that lessons reckon with are those that the picture is
// drawn with.
func TestShotsAreDrawnAsTheyAreReckoned(t *testing.T) {
	for level := practice.LeastLevel; level <= practice.MostLevel; level++ {
		for n := range 6 {
			s := practice.NewExercise(5, n, level).Shot
			scene := sceneOf(s).WithDefaults()
			if err := scene.Validate(); err != nil {
				t.Errorf("level %d photo %d: %v", level, n, err)
			}
			if got, want := scene.Camera(), s.Camera(); got != want {
				t.Errorf("level %d photo %d: drawn with camera %+v, reckoned with %+v", level, n, got, want)
			}
			if got, want := scene.Solid(), s.Solid(); got != want {
				t.Errorf("level %d photo %d: drawn shape %+v, reckoned %+v", level, n, got, want)
			}
		}
	}
	for _, l := range practice.Lives {
		if err := sceneOf(l.Shot(nil)).WithDefaults().Validate(); err != nil {
			t.Errorf("live picture %s: %v", l.Name, err)
		}
	}
}

// What the eye test shows is what it says: the hole and the chamfer have the stated
// size in the picture, and the wide side is the one that is asked for.
func TestEyePictureShowsWhatItAsksFor(t *testing.T) {
	e := practice.NewEyeTest(3)
	for range 6 {
		q := e.Trial()
		p, truth, err := synth.Draw(sceneOf(q.Shot))
		if err != nil {
			t.Fatal(err)
		}
		if p.Width != practice.EyePicturePt || p.Height != practice.EyePicturePt {
			t.Fatalf("picture %d x %d, want %d square", p.Width, p.Height, practice.EyePicturePt)
		}
		if got := truth.PxPerMM * truth.Bore; math.Abs(got-practice.EyeHolePt) > 1e-9 {
			t.Errorf("bore %.2f px across, want %.0f", got, practice.EyeHolePt)
		}
		if got := truth.PxPerMM * truth.Chamfer; math.Abs(got-practice.EyeWidthPt) > 1e-9 {
			t.Errorf("chamfer %.2f px wide, want %.0f", got, practice.EyeWidthPt)
		}
		// The outer edge's middle lies off the bore's, in pixels, towards that side.
		dx := truth.Image.ChamferAxis[0] - truth.Image.BoreAxis[0]
		dy := truth.Image.BoreAxis[1] - truth.Image.ChamferAxis[1]
		if got := math.Atan2(dy, dx); math.Abs(math.Remainder(got-q.Wide.ScreenRad(), 2*math.Pi)) > 0.02 {
			t.Errorf("wide towards %.2f rad, asked for %d o'clock", got, q.Wide.Hour())
		}
		if got := math.Hypot(dx, dy); math.Abs(got-q.Share*practice.EyeWidthPt) > 0.02*got+1e-6 {
			t.Errorf("off by %.3f px, want %.3f", got, q.Share*practice.EyeWidthPt)
		}
		e.Answer(q.Wide)
	}
}

func TestApprenticeVerbPrintsSheetsAndForgetsAPerson(t *testing.T) {
	dir := t.TempDir()
	data := filepath.Join(dir, "shop")
	pdf := filepath.Join(dir, "sheet.pdf")
	var out, words bytes.Buffer
	call := func(args ...string) int {
		out.Reset()
		words.Reset()
		a := &app{out: &out, errOut: &words}
		root := newRootCmd(a)
		root.SetArgs(append([]string{"apprentice", "--data", data}, args...))
		return a.exitCode(root.ExecuteContext(context.Background()))
	}
	if code := call("--sheet", pdf, "--series", "7", "--count", "2", "--level", "4"); code != exitOK {
		t.Fatalf("exit code %d: %s", code, words.String())
	}
	if b, err := os.ReadFile(pdf); err != nil || !bytes.HasPrefix(b, []byte("%PDF-")) || len(b) < 20000 {
		t.Errorf("sheet of %d bytes, error %v; want a PDF with photos", len(b), err)
	}
	for _, bad := range [][]string{{}, {"--sheet", pdf, "--table", "Ada"}, {"--sheet", pdf, "--level", "9"}, {"--sheet", pdf, "--count", "0"}, {"--sheet", filepath.Join(dir, "sheet.txt")}, {"--sheet", filepath.Join(dir, "none", "sheet.pdf")}} {
		if code := call(bad...); code != exitUsage || words.Len() == 0 {
			t.Errorf("%v: exit code %d, %q; want %d and a sentence", bad, code, words.String(), exitUsage)
		}
	}

	for _, look := range []string{"--table", "--forget"} {
		if code := call(look, "Nobody"); code != exitMissed || !strings.Contains(words.String(), "There is no record in "+data) {
			t.Errorf("%s without a record: exit code %d, %q", look, code, words.String())
		}
	}
	if _, err := os.Stat(data); !os.IsNotExist(err) {
		t.Errorf("looking for practice made a folder: %v", err)
	}

	s, err := record.Open(context.Background(), data)
	if err != nil {
		t.Fatal(err)
	}
	if code := call("--table", "Nobody"); code != exitUsage || !strings.Contains(words.String(), "Nobody") {
		t.Errorf("a name without practice: exit code %d, %q", code, words.String())
	}
	d := diary{newShelf(s, nil)}
	ctx := context.Background()
	done := practice.Done{Seed: 1, N: 1, Level: 1, Score: 0.5, Answer: practice.Answer{Verdict: model.Conforms}}
	eye := practice.Threshold{Share: 0.05, Low95: 0.04, High95: 0.07, Trials: 40, Sure: true}
	for _, e := range []practice.Entry{{Exercise: &done}, {Eye: &eye}} {
		if err := d.Write(ctx, "Ada", e); err != nil {
			t.Fatal(err)
		}
	}
	if ts, err := d.Thresholds(ctx); err != nil || len(ts) != 1 || ts[0].Person != "Ada" || ts[0].Share != 0.05 {
		t.Errorf("thresholds %+v, %v; want Ada's 0.05", ts, err)
	}
	s.Close()
	if code := call("--table", "Ada"); code != exitOK || strings.Count(out.String(), "\n") != 3 {
		t.Errorf("exit code %d, table %q; want three lines", code, out.String())
	}
	if code := call("--forget", "Ada"); code != exitOK {
		t.Errorf("exit code %d: %s", code, words.String())
	}
	if code := call("--table", "Ada"); code != exitUsage {
		t.Errorf("Ada is still there: exit code %d", code)
	}
}
