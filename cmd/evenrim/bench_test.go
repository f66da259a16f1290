package main

import (
	"math"
	"os"
	"runtime"
	"strings"
	"testing"

	"evenrim/model/accuracy"
	"evenrim/vision/synth"
)

// A bench of two drawn photos ends in one sentence, with a table of a line each.
func TestBenchReadsDrawnPhotos(t *testing.T) {
	cmd := program(t, "bench", "--count", "2")
	out, err := cmd.Output()
	if code := exitOf(t, err); code != 0 {
		t.Fatalf("exit code %d", code)
	}
	text := string(out)
	for _, want := range []string{"error um", "s00001.", "s00002.", "The stated 95 % region covered"} {
		if !strings.Contains(text, want) {
			t.Errorf("the bench does not say %q:\n%s", want, text)
		}
	}
}

func TestBenchSaysWhatIsWrong(t *testing.T) {
	for _, args := range [][]string{{"--figure", "pie"}, {"--count", "0"}, {"--photos", "/no/such/folder"}, {"--figure", "bias", "--peers"}} {
		cmd := program(t, append([]string{"bench"}, args...)...)
		var words strings.Builder
		cmd.Stderr = &words
		if code := exitOf(t, cmd.Run()); code != exitUsage || len(words.String()) < 20 {
			t.Errorf("%v: exit code %d, %q; want %d and a sentence", args, code, words.String(), exitUsage)
		}
	}
}

// The scatter of readings about the bound is stated with the interval of
// chi-squared: at 9 degrees of freedom NIST/SEMATECH's table (section 1.3.6.7.4)
// gives 2.700 and 19.023 for 2.5 and 97.5 %; here there are 2 (n-1), so n = 10 uses
// 18: 8.231 and 31.526.
func TestRatioIntervalAgainstTheTable(t *testing.T) {
	lo, hi := ratioInterval(10)
	if math.Abs(lo-18/31.526) > 1e-4 || math.Abs(hi-18/8.231) > 1e-4 {
		t.Errorf("factors %.4f and %.4f, want %.4f and %.4f", lo, hi, 18/31.526, 18/8.231)
	}
}

// Every scene of the bias figure can be drawn, and its rims have contrast.
func TestSweepsAreSound(t *testing.T) {
	for _, s := range sweeps() {
		if len(s.points) < 5 {
			t.Errorf("%s has %d points, want 5", s.title, len(s.points))
		}
		for _, p := range s.points {
			if err := p.scene.WithDefaults().Validate(); err != nil {
				t.Errorf("%s at %g: %v", s.title, p.x, err)
			}
			if c := p.scene.Clean; c != nil && (math.Abs(c.Chamfer/c.Face-1) < 0.15 || c.Chamfer < 2*c.Wall) {
				t.Errorf("%s at %g: an edge without contrast (%+v)", s.title, p.x, *c)
			}
		}
	}
}

func TestDrawnPhotosFollowTheirSeed(t *testing.T) {
	v := &benchVerb{seed: 5, turns: 1}
	a, b := v.drawn(3), v.drawn(3)
	if a.err != nil || string(a.data) != string(b.data) || a.Light != string(synth.Lights[3]) {
		t.Errorf("photo 4 of a seed: %v, same %v, light %q", a.err, string(a.data) == string(b.data), a.Light)
	}
	if s := sumLine([]accuracy.Case{{HasHole: true, Refused: "blurred"}}); s != "No readings; 1 photos refused (1 blurred)." {
		t.Errorf("of refusals alone: %q", s)
	}
}

// What this process holds must not count for the program it starts.
func TestPeakMemoryIsTheRunsOwn(t *testing.T) {
	t.Setenv(asProgram, "1")
	const mb = 600
	held := make([]byte, mb<<20)
	for i := 0; i < len(held); i += 4096 {
		held[i] = 1
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := runChild(t.Context(), 2, self, "version")
	runtime.KeepAlive(held)
	if c.err != nil || c.peakMB < 10 || c.peakMB > mb {
		t.Errorf("the peak is %.0f MB (%v), want less than the %d MB held here", c.peakMB, c.err, mb)
	}
}
