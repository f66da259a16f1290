package model

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The factors are exact by definition: 1 in = 25.4 mm (1959 agreement; also
// NIST SP 811, appendix B), 1 thou = 0.001 in. So the results are compared exactly.
func TestLengthsAreReadExactly(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want float64
	}{
		{"10mm", 10}, {"10", 10}, {" 10 mm ", 10}, {"10 MM", 10}, {"0", 0}, {"10.", 10}, {".5", 0.5},
		{"0.5in", 12.7}, {`0.5"`, 12.7}, {"0.5 inch", 12.7}, {"0.5″", 12.7}, {"0.001in", 0.0254}, {"0.0001 in", 0.00254},
		{"1/2in", 12.7}, {"1 1/2 in", 38.1}, {"1-1/2in", 38.1}, {"3/8\"", 9.525}, {"-1/2in", -12.7},
		{"5thou", 0.127}, {"5 thou", 0.127}, {"1 mil", 0.0254}, {"0.1thou", 0.00254},
		{"12um", 0.012}, {"12µm", 0.012}, {"12μm", 0.012}, {"12 microns", 0.012},
		{"0,25mm", 0.25}, {"6,350", 6.35}, {"-0,02", -0.02}, {"−3mm", -3}, {"+3mm", 3}, {"1\u00a01/2in", 38.1},
		{"1e-3in", 0.0254}, {"2.5E1", 25}, {"0.1mm", 0.1},
	} {
		if got, err := ParseLength(tt.in); err != nil || got != tt.want {
			t.Errorf("ParseLength(%q) = %v, %v; want %v exactly", tt.in, got, err, tt.want)
		}
	}
}

func TestParseLengthSaysWhatToDo(t *testing.T) {
	for _, tt := range []struct{ in, mentions string }{
		{"", "10mm"}, {"  ", "10mm"}, {"mm", "10mm"}, {"ten", "not a number"}, {"10 furlongs", "unknown unit"}, {"10m", "unknown unit"},
		{"1/2", "1/2in"}, {"1/0in", "10mm"}, {"1//2in", "10mm"}, {"--5mm", "10mm"}, {"1.2.3mm", "10mm"}, {"1,000,000", "10mm"}, {"1,000.5mm", "10mm"},
		{"NaN", "unit"}, {"Inf", "unit"}, {"0x10", "unit"}, {"1e9999", "10mm"}, {"1e999", "too large"}, {"1e", "unit"}, {"5 5mm", "10mm"}, {"٣mm", "10mm"},
		{strings.Repeat("9", 5000) + "mm", "10mm"}, {"-", "10mm"}, {"10mm 5", "unit"}, {"1/2/3in", "10mm"},
	} {
		_, err := ParseLength(tt.in)
		if err == nil {
			t.Errorf("ParseLength(%.40q) gave no error", tt.in)
			continue
		}
		if s := err.Error(); !strings.HasSuffix(s, ".") || !strings.Contains(s, tt.mentions) || len(s) > 250 {
			t.Errorf("ParseLength(%.40q): %q is not one sentence that mentions %q", tt.in, s, tt.mentions)
		}
	}
}

func TestParseAngleDeg(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want float64 // degrees
	}{{"45", 45}, {"45°", 45}, {"-157.054", -157.054}, {"0,5 deg", 0.5}, {"0", 0}, {"+90 degrees", 90}, {"−30", -30}} {
		got, err := ParseAngleDeg(tt.in)
		if err != nil || got != tt.want*math.Pi/180 {
			t.Errorf("ParseAngleDeg(%q) = %v, %v; want %v degrees", tt.in, got, err, tt.want)
		}
	}
	for _, in := range []string{"", "north", "45mm", "1/2", "NaN", "45 45", "1e999", "4000"} {
		if got, err := ParseAngleDeg(in); err == nil || !strings.HasSuffix(err.Error(), ".") {
			t.Errorf("ParseAngleDeg(%q) = %v, %v; want a sentence", in, got, err)
		}
	}
}

func TestLengthsAreWrittenInMMAndInch(t *testing.T) {
	for _, tt := range []struct {
		mm   float64
		inch bool
		want string
	}{
		{0.03124, false, "0.0312 mm"}, {-0.004, false, "-0.0040 mm"}, {-0.00001, false, "0.0000 mm"}, {12.7, true, "0.50000 in"},
		{0.0254, true, "0.00100 in"}, {-0.00001, true, "0.00000 in"}, {math.NaN(), false, "unknown"}, {math.Inf(1), true, "unknown"},
	} {
		if got := FormatLength(tt.mm, tt.inch); got != tt.want {
			t.Errorf("FormatLength(%v, %t) = %q, want %q", tt.mm, tt.inch, got, tt.want)
		}
	}
}

func TestLengthRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm, inch := rapid.Float64Range(-500, 500).Draw(t, "mm"), rapid.Bool().Draw(t, "inch")
		tol := 0.5e-4 + 1e-12
		if inch {
			tol = 0.5e-5*MMPerInch + 1e-12
		}
		got, err := ParseLength(FormatLength(mm, inch))
		if err != nil || math.Abs(got-mm) > tol {
			t.Fatalf("%v mm comes back as %v, %v; tolerance %g", mm, got, err, tol)
		}
	})
}

func FuzzParseLength(f *testing.F) {
	for _, s := range []string{"10mm", "0.5in", "1 1/2\"", "0,25", "5 thou", "-12µm", "1e-3in", "e", "1/", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		mm, err := ParseLength(s)
		switch {
		case err == nil && !finite(mm):
			t.Fatalf("ParseLength(%q) = %v", s, mm)
		case err != nil && (!strings.HasSuffix(err.Error(), ".") || mm != 0):
			t.Fatalf("ParseLength(%q) = %v, %v", s, mm, err)
		}
		if rad, err := ParseAngleDeg(s); err == nil && !finite(rad) {
			t.Fatalf("ParseAngleDeg(%q) = %v", s, rad)
		}
	})
}
