package batch

import (
	"strings"
	"testing"
)

func TestStudyListsAreReadOrRefused(t *testing.T) {
	for _, tt := range []struct {
		name, in string
		n        int
		x        float64 // of the first row, mm
		says     string
	}{
		{"plain", "part,person,dx_mm,dy_mm\n1,Wren,0.01,0.02\n", 1, 0.01, ""},
		{"other units and order", "dy_um, dx_thou, person, part\n 5, 1, Moss, 2\n", 1, 0.0254, ""},
		{"inches, comments, another name", "# shop\noperator,part,dx_in,dy_in\nA,1,0.001,0\n# end\n", 1, 0.0254, ""},
		{"mark of UTF-8", "\ufeffpart,person,dx_mm,dy_mm\n1,A,1,2\n", 1, 1, ""},
		{"a spreadsheet's semicolons and decimal commas", "# 1,2,3,4,5\nperson;part;dx_mm;dy_mm\r\nWren;1;0,01;0,02\r\n", 1, 0.01, ""},
		{"tabs", "part\tperson\tdx_mm\tdy_mm\n1\tWren\t0.01\t0.02\n", 1, 0.01, ""},
		{"a picture", "\xff\xd8\xff\xe0\x00\x10JFIF", 0, 0, "not plain text"},
		{"empty", "", 0, 0, "empty"},
		{"no person", "part,dx_mm,dy_mm\n", 0, 0, "lacks the column person"},
		{"no figure", "part,person,dx_mm,dy_mm\n1,A,,2\n", 0, 0, "row 2"},
		{"no part", "part,person,dx_mm,dy_mm\n,A,1,2\n", 0, 0, "names no part"},
		{"short row", "part,person,dx_mm,dy_mm\n1,A\n", 0, 0, "row 2"},
	} {
		got, err := ParseStudy([]byte(tt.in))
		switch {
		case tt.says != "" && (err == nil || !strings.Contains(err.Error(), tt.says)):
			t.Errorf("%s: error %v, want one with %q", tt.name, err, tt.says)
		case tt.says == "" && (err != nil || len(got) != tt.n):
			t.Errorf("%s: %v, %v", tt.name, got, err)
		case tt.n > 0:
			near(t, tt.name, got[0].D.X, tt.x, 1e-12)
		}
	}
}

// A table is never cut without a word.
func TestTooLongAStudyIsRefused(t *testing.T) {
	row, head := "1,Wren,0.01,0.02\n", "part,person,dx_mm,dy_mm\n"
	if got, err := ParseStudy([]byte(head + strings.Repeat(row, maxStudyRows))); err != nil || len(got) != maxStudyRows {
		t.Errorf("as long as it may be: %d rows, %v", len(got), err)
	}
	if got, err := ParseStudy([]byte(head + strings.Repeat(row, maxStudyRows+1))); err == nil || !strings.Contains(err.Error(), "more than 100000") {
		t.Errorf("too long: %d rows, %v", len(got), err)
	}
}

func FuzzParseStudy(f *testing.F) {
	f.Add("part,person,dx_mm,dy_mm\n1,Wren,0.01,0.02\n")
	f.Add("dy_um;dx_thou\n\"")
	f.Fuzz(func(t *testing.T, s string) {
		got, err := ParseStudy([]byte(s))
		if err == nil {
			for _, r := range got {
				if r.Part == "" || r.Person == "" || !r.D.IsFinite() {
					t.Fatalf("%q gives %+v", s, r)
				}
			}
		}
	})
}

// The next part lies inside the ellipse that T2Next makes as often as it says.
// Expected: the F distribution's own quantile, by the formula's source; here checked
// against chi-squared for many parts (2 dof, 95 %: 5.9915, any table).
func TestT2NextTendsToChiSquared(t *testing.T) {
	near(t, "many parts", T2Next(1_000_000, 0.95), 5.99146, 1e-3)
	if a, b := T2Next(5, 0.95), T2Next(10, 0.95); !(a > b && b > 5.99) {
		t.Errorf("few parts need a wider ellipse: 5 %v, 10 %v", a, b)
	}
}

// Deming's funnel (Out of the Crisis, 1986, ch. 11, from memory): chasing the last
// part doubles the variance of a right offset; the advice nearly doesn't.
func TestShowFunnelShowsTampering(t *testing.T) {
	right := ShowFunnel(0, 0.005, 40, 5)
	alone, last, mean, advised := right.Cost[0], right.Cost[1], right.Cost[2], right.Cost[3]
	near(t, "leaving alone", alone, 1, 0.03)
	near(t, "chasing the last part", last, 2, 0.08)
	if !(advised < mean && mean < last && advised < 1.12) {
		t.Errorf("right offset: advised %.3f, mean %.3f, last %.3f", advised, mean, last)
	}
	wrong := ShowFunnel(0.015, 0.005, 40, 5)
	if !(wrong.Cost[3] < wrong.Cost[1] && wrong.Cost[3] < wrong.Cost[0]) {
		t.Errorf("wrong offset: %v", wrong.Cost)
	}
	if s := strings.Join(right.Sentences(), "\n"); !strings.Contains(s, "1.4") || !strings.Contains(s, "correct by the last part") {
		t.Errorf("it doesn't say so:\n%s", s)
	}
}
