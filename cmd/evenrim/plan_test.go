package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestPlanVerbAnswersAndWritesItsSheet(t *testing.T) {
	sheet := filepath.Join(t.TempDir(), "sheet.pdf")
	out, err := program(t, "plan", "pick-up", "--json", "--out", sheet, "included=Point of contact",
		"a-touches=105 240.05;155 240.15", "b-touches=99.97 220", "a-at=40", "b-at=0").Output()
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Offset   [2]float64 `json:"offset_mm"`
		Rotation float64    `json:"rotation_deg"`
		Check    struct {
			Reads float64 `json:"reads_mm"`
			U95   float64 `json:"u95_mm"`
		}
		Warnings []string
	}
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	// By hand: 0.1 in 50 is 0.1146 degrees; the check face at 60 was touched by contact.
	if math.Abs(got.Rotation-0.11459) > 1e-4 || math.Abs(got.Offset[0]-100.01) > 0.01 || got.Check.Reads != 60 || got.Check.U95 <= 0 || len(got.Warnings) == 0 {
		t.Errorf("got %+v of %s", got, out)
	}
	if data, err := os.ReadFile(sheet); err != nil || !strings.HasPrefix(string(data), "%PDF") {
		t.Errorf("setup sheet: %v", err)
	}
	words, err := program(t, "plan", "flip", "form=0.2mm", "--inch").Output()
	if err != nil || !strings.Contains(string(words), "It does not hold") || !strings.Contains(string(words), "carrier") {
		t.Errorf("%v: %s", err, words)
	}
	fields, err := program(t, "plan", "flip", "--fields").Output()
	if err != nil || !strings.Contains(string(fields), "probe=0.003 mm") || !strings.Contains(string(fields), "Common practice, no source") {
		t.Errorf("%v: %s", err, fields)
	}
	// What stands there may be typed.
	fields, err = program(t, "plan", "photo", "--fields").Output()
	if err != nil || !strings.Contains(string(fields), "\nsensor=\n") || !strings.Contains(string(fields), "Empty: as camera.") {
		t.Errorf("%v: %s", err, fields)
	}
	if err := program(t, "plan", "photo", "sensor=").Run(); err != nil {
		t.Errorf("sensor= as listed: %v", err)
	}
}

// Some choices have a comma in their name.
func TestChoicesAreToldApart(t *testing.T) {
	code, _, words := call(t, "plan", "photo", "camera=none")
	if want := "choose one of Phone, main camera; Phone, close-up lens;"; code != exitUsage || !strings.Contains(words, want) {
		t.Errorf("%d, %q; want %q", code, words, want)
	}
}

func TestPlanVerbUsedWrongly(t *testing.T) {
	for _, args := range [][]string{{"plan"}, {"plan", "holiday"}, {"plan", "flip", "form"}, {"plan", "flip", "colour=red"}, {"plan", "photo", "bore=0"}, {"plan", "flip", "form=soon"}, {"plan", "flip", "--out", "sheet.txt"}} {
		if code := exitOf(t, program(t, args...).Run()); code != exitUsage {
			t.Errorf("%v: exit code %d, want %d", args, code, exitUsage)
		}
	}
}
