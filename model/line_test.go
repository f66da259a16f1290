package model

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var rewriteLines = flag.Bool("rewrite-lines", false, "rewrite testdata/line-*.json from what the code gives")

func fullReading() *Reading {
	return &Reading{
		Mismatch: Vec{0.0312, -0.0040}, Cov: Sym2{1.1e-6, -2.5e-8, 1.3e-6}, U95MM: 0.0026,
		WidthMM: 0.2481, WidthUMM: 0.0008, Camera: Camera{PxPerMM: 92.1},
		View:    View{SlopeX: 0.01234567, SlopeY: -0.002, How: FromExitRim},
		Outer:   RimShape{CX: 612.5, CY: 540.25, A: 483.11111, B: 482.9, AngleRad: math.Pi / 6, RMSPx: 0.081, ArcRad: 2 * math.Pi},
		Bore:    RimShape{CX: 610, CY: 541, A: 460, B: 459.5, AngleRad: -0.1, RMSPx: 0.07, ArcRad: 6},
		Exit:    &RimShape{CX: 630, CY: 560, A: 440, B: 439, RMSPx: 0.1, ArcRad: 5},
		Damage:  []Damage{{AtRad: 35 * math.Pi / 180, WidthRad: 12 * math.Pi / 180, Kind: Inward, Rim: "outer", PeakMM: 0.03}},
		Verdict: Undecided, PWithin: 0.1234567, Correction: Correct(Vec{0.0312, -0.0040}, FlipAboutY),
		Warnings: []string{"The light comes from one side."}, Seconds: 0.0812345,
	}
}

func TestLinesAreAsTheContractSays(t *testing.T) {
	clean := fullReading()
	clean.Exit, clean.Damage, clean.Warnings = nil, nil, nil
	bare := &Reading{Mismatch: Vec{0.01, math.Copysign(0, -1)}, U95MM: math.Inf(1), PWithin: math.NaN()}
	line := func(b []byte, err error) []byte {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	for _, tt := range []struct {
		name string
		got  []byte
	}{
		{"full", line(ReadingLine("a.jpg", fullReading()))},
		{"no exit rim, no damage", line(ReadingLine("b <&>.jpg", clean))},
		{"hardly anything computed", line(ReadingLine("c.jpg", bare))},
		{"refusal", line(RefusalLine("d.jpg", fmt.Errorf("trace: %w", Refuse(NoHole, "No hole was found: point the camera at it."))))},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if strings.ContainsRune(string(tt.got), '\n') {
				t.Error("more than one line")
			}
			golden := filepath.Join("testdata", "line-"+strings.NewReplacer(" ", "-", ",", "").Replace(tt.name)+".json")
			if *rewriteLines {
				if err := os.WriteFile(golden, append(tt.got, '\n'), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(strings.TrimRight(string(want), "\n"), string(tt.got)); d != "" {
				t.Errorf("(-%s +got):\n%s", golden, d)
			}
		})
	}
}

// The keys of the contract, copied from the design note, not from the code.
func TestEveryContractKeyIsThereWhateverIsMissing(t *testing.T) {
	keys := []string{"photo", "ok", "dx_mm", "dy_mm", "cov_mm2", "u95_mm", "width_mm", "width_u_mm", "px_per_mm", "rims", "view",
		"vanished_arc_deg", "damage", "verdict", "p_within", "correction", "warnings", "seconds"}
	nan := math.NaN()
	for name, r := range map[string]*Reading{"full": fullReading(), "zero": {}, "nan": {Mismatch: Vec{nan, nan}, Cov: Sym2{nan, nan, nan},
		U95MM: nan, WidthMM: nan, VanishedRad: nan, PWithin: nan, Seconds: nan, Correction: Correction{Setup2: Vec{nan, 0}}}} {
		b, err := ReadingLine("x", r)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var got map[string]any
		if err := json.Unmarshal(b, &got); err != nil {
			t.Fatalf("%s: %v in %s", name, err, b)
		}
		for _, k := range keys {
			v, there := got[k]
			if !there {
				t.Errorf("%s: no %q", name, k)
			}
			if v == nil && k != "seconds" && len(got["warnings"].([]any)) == 0 {
				t.Errorf("%s: %q is null and no warning says so", name, k)
			}
		}
		if len(got) != len(keys) {
			t.Errorf("%s: %d keys, want %d", name, len(got), len(keys))
		}
		if name == "full" && len(got["warnings"].([]any)) != 1 {
			t.Errorf("full: warnings %v", got["warnings"])
		}
	}
}

func TestDecimalsAreCutWithoutTrailingZeros(t *testing.T) {
	for _, tt := range []struct {
		x    float64
		n    int
		want number
	}{{1234.50, 3, "1234.5"}, {100, 2, "100"}, {-0.0000001, 6, "0"}, {0, 6, "0"}, {-0.5, 1, "-0.5"}, {1200, 4, "1200"}, {1200, 0, "1200"}, {math.NaN(), 2, ""}, {1e300, 0, ""}} {
		got := decimals(tt.x, tt.n)
		if tt.x == 1e300 {
			if !json.Valid([]byte(got)) {
				t.Errorf("decimals(%g) is not JSON: %.20s", tt.x, got)
			}
			continue
		}
		if got != tt.want {
			t.Errorf("decimals(%v, %d) = %q, want %q", tt.x, tt.n, got, tt.want)
		}
	}
}

func TestEveryErrorBecomesARefusal(t *testing.T) {
	for _, tt := range []struct {
		err  error
		want Reason
	}{
		{fmt.Errorf("x: %w", Refuse(CutOff, "s.")), CutOff},
		{JobCard{}.Validate(), BadInput},
		{fmt.Errorf("x: %w", context.Canceled), Cancelled},
		{errors.New("runtime error: index out of range"), Failed},
	} {
		got := AsRefusal(tt.err)
		if got.Reason != tt.want || strings.Contains(got.Sentence, "runtime") {
			t.Errorf("AsRefusal(%v) = %q, %q; want %q", tt.err, got.Reason, got.Sentence, tt.want)
		}
	}
}
