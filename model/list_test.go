package model

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func deg(d float64) float64 { return d * math.Pi / 180 }

func TestListsAreReadRowByRow(t *testing.T) {
	turn := deg(90)
	full := ListRow{Row: 2, Photo: "a.jpg", Path: filepath.Join("d", "a.jpg"),
		Job:  JobCard{BoreMM: 10, ChamferMM: 0.25, HalfAngle: deg(40), ThicknessMM: 12.7, PlusX: deg(-1.5), ToleranceMM: 0.0254},
		Part: "p7", Hole: "A", HoleAt: &Vec{-20, 12.7}, Turn: &turn, Batch: "b1", Note: "left, lower"}
	const header = "photo,bore,chamfer,angle,thickness,plus_x,tolerance,part,hole,hole_x,hole_y,turn,batch,note\n"
	const row = `a.jpg,10mm,0.25mm,40,0.5in,-1.5,0.001in,p7,A,-20,0.5in,90,b1,"left, lower"`
	plain := JobCard{BoreMM: 8}
	for _, tt := range []struct {
		name, in string
		defaults JobCard
		want     []ListRow
	}{
		{name: "every column", in: header + row + "\n", want: []ListRow{full}},
		{name: "byte order mark, CRLF, no last line end", in: "\ufeff" + strings.ReplaceAll(header+row, "\n", "\r\n"), want: []ListRow{full}},
		{name: "other order, upper case, spaces", in: "Note;Photo;Batch;Turn;hole-y;Hole X;hole;part;Tolerance;Plus X;thickness;angle;chamfer;Bore\n" +
			"\"left, lower\"; a.jpg ;b1;90;0,5in;-20;A;p7;0,001in;-1,5;0,5in;40;0,25mm;10mm\n", want: []ListRow{full}},
		{name: "tabs", in: "photo\tbore\na.jpg\t8mm\n", want: []ListRow{{Row: 2, Photo: "a.jpg", Path: "d/a.jpg", Job: plain}}},
		{name: "photo alone, the rest from the flags", in: "photo\na.jpg\n", defaults: full.Job, want: []ListRow{{Row: 2, Photo: "a.jpg", Path: "d/a.jpg", Job: full.Job}}},
		{name: "an empty cell is the flag's", in: "photo,bore\na.jpg,\nb.jpg,9\n", defaults: plain,
			want: []ListRow{{Row: 2, Photo: "a.jpg", Path: "d/a.jpg", Job: plain}, {Row: 3, Photo: "b.jpg", Path: "d/b.jpg", Job: JobCard{BoreMM: 9}}}},
		{name: "comments, empty lines, short rows", in: "# the bench, Monday\n\nphoto,bore,note\n# not this one\na.jpg,8\n,,\n\n  b.jpg , 8 \n",
			want: []ListRow{{Row: 5, Photo: "a.jpg", Path: "d/a.jpg", Job: plain}, {Row: 8, Photo: "b.jpg", Path: "d/b.jpg", Job: plain}}},
		{name: "inch marks are no quotation", in: "photo,bore,note\na.jpg,0.5\",x\nb.jpg,\"1/2\"\"\",y\n",
			want: []ListRow{{Row: 2, Photo: "a.jpg", Path: "d/a.jpg", Job: JobCard{BoreMM: 12.7}, Note: "x"}, {Row: 3, Photo: "b.jpg", Path: "d/b.jpg", Job: JobCard{BoreMM: 12.7}, Note: "y"}}},
		{name: "Latin-1 micro sign", in: "photo,bore\na.jpg,8000\xb5m\n", want: []ListRow{{Row: 2, Photo: "a.jpg", Path: "d/a.jpg", Job: plain}}},
		{name: "absolute and foreign paths", in: "photo,bore\n/x/a.jpg,8\nsub\\b.jpg,8\n../c.jpg,8\n",
			want: []ListRow{{Row: 2, Photo: "/x/a.jpg", Path: "/x/a.jpg", Job: plain}, {Row: 3, Photo: `sub\b.jpg`, Path: "d/sub/b.jpg", Job: plain}, {Row: 4, Photo: "../c.jpg", Path: "c.jpg", Job: plain}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := ParseList([]byte(tt.in), "d", tt.defaults)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(tt.want, got.Rows, cmpopts.EquateApprox(1e-15, 1e-15)); d != "" {
				t.Errorf("(-want +got):\n%s", d)
			}
			if len(got.Notes) != 0 {
				t.Errorf("notes %q", got.Notes)
			}
		})
	}
}

func TestBadRowsSaySoAndTheOthersStand(t *testing.T) {
	for _, tt := range []struct{ row, mentions string }{
		{"x.jpg,10 furlongs,,,,,,", "column bore"},
		{"x.jpg,-3,,,,,,", "more than zero"},
		{"x.jpg,1e9,,,,,,", "outside"},
		{"x.jpg,10,6,,,,,", "as wide as"},
		{"x.jpg,10,,0,,,,", "half-angle cannot be zero"},
		{"x.jpg,10,,north,,,,", "column angle"},
		{"x.jpg,10,,,0,,,", "tolerance must be more than zero"},
		{"x.jpg,10,,,,5,,", "both hole_x and hole_y"},
		{"x.jpg,10,,,,,,half a turn", "column turn"},
		{",10,,,,,,", "file name is missing"},
		{`x.jpg,10,,,,,,,"oh`, "quotation mark"},
		{"x.jpg,10,,,,,,,,surplus", "more cells"},
		{"x.jpg,0,25,,,,,,,9", "more cells"}, // a decimal comma in a list separated by commas
	} {
		t.Run(tt.row, func(t *testing.T) {
			in := "photo,bore,chamfer,angle,tolerance,hole_x,hole_y,turn,note\na.jpg,8\n" + tt.row + "\nb.jpg,9\n"
			got, err := ParseList([]byte(in), "", JobCard{})
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Rows) != 3 || got.Rows[0].Err != nil || got.Rows[2].Err != nil || got.Rows[2].Job.BoreMM != 9 {
				t.Fatalf("the good rows are disturbed: %+v", got.Rows)
			}
			var r *Refusal
			if !errors.As(got.Rows[1].Err, &r) || r.Reason != BadInput || !strings.HasPrefix(r.Sentence, "Row 3 of the list: ") ||
				!strings.Contains(r.Sentence, tt.mentions) || !strings.HasSuffix(r.Sentence, ".") {
				t.Errorf("error %v, want a sentence that begins with the row and mentions %q", got.Rows[1].Err, tt.mentions)
			}
		})
	}
}

func TestBadListsAreRefusedAsAWhole(t *testing.T) {
	for _, tt := range []struct {
		name, in, mentions string
	}{
		{"empty", "", "empty"}, {"only comments", "# a\n\n", "empty"}, {"header only", "photo,bore\n", "no photo"},
		{"no photo column", "picture,bore\na.jpg,8\n", "no column photo"}, {"no header", "a.jpg,8mm\n", "no column photo"},
		{"twice the same column", "photo,bore,Bore\na.jpg,8,8\n", "two columns"},
		{"a slip in a name", "photo,bore,tolernce\na.jpg,8,1\n", "tolerance"},
		{"UTF-16", "\xff\xfep\x00h\x00", "UTF-8"}, {"a photo", "\xff\xd8\xff\xe0\x00\x10JFIF", "UTF-8"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ParseList([]byte(tt.in), "", JobCard{})
			var r *Refusal
			if !errors.As(err, &r) || !strings.Contains(r.Sentence, tt.mentions) || !strings.HasSuffix(r.Sentence, ".") {
				t.Errorf("error %v, want a sentence that mentions %q", err, tt.mentions)
			}
		})
	}
}

func TestASlipIsAlwaysTakenForTheSameColumn(t *testing.T) {
	for range 100 {
		if got := nearestColumn("hole_z"); got != "hole_x" {
			t.Fatalf("hole_z is taken for %q, want hole_x as before", got)
		}
	}
	if got := nearestColumn("plus_y"); got != "plus_x" {
		t.Errorf("plus_y is taken for %q", got)
	}
}

func TestUnknownColumnIsNotedNotSwallowed(t *testing.T) {
	got, err := ParseList([]byte("photo,operator,bore\na.jpg,me,8\n"), "", JobCard{})
	if err != nil || len(got.Notes) != 1 || !strings.Contains(got.Notes[0], "operator") || got.Rows[0].Job.BoreMM != 8 {
		t.Errorf("%+v, %v", got, err)
	}
}

// Every line below the header is a row, a comment or empty: none is lost, and
// none is doubled, whatever it holds.
func FuzzParseList(f *testing.F) {
	f.Add("photo,bore\na.jpg,8mm\n")
	f.Add("photo;bore;note\n\"a\";0,5\";x\n#\nb;;\"\n")
	f.Add("\ufeffphoto\tturn\thole_x\na\t90\t\n")
	f.Fuzz(func(t *testing.T, in string) {
		got, err := ParseList([]byte(in), "d", JobCard{BoreMM: 8})
		if err != nil {
			var r *Refusal
			if !errors.As(err, &r) {
				t.Fatalf("not a refusal: %v", err)
			}
			return
		}
		last := 0
		for _, r := range got.Rows {
			if r.Row <= last {
				t.Fatalf("row %d after row %d", r.Row, last)
			}
			last = r.Row
			if r.Err == nil {
				if err := r.Job.WithDefaults().Validate(); err != nil || r.Photo == "" || r.HoleAt != nil && !r.HoleAt.IsFinite() {
					t.Fatalf("a bad row passed: %+v, %v", r, err)
				}
			} else if !strings.HasPrefix(r.Err.Error(), fmt.Sprintf("Row %d", r.Row)) {
				t.Fatalf("row %d: %v", r.Row, r.Err)
			}
		}
		text, _ := ListText([]byte(in))
		rows, header := 0, false
		for _, l := range strings.Split(text, "\n") {
			switch {
			case skipped(l):
			case !header:
				header = true
			default:
				rows++
			}
		}
		if rows != len(got.Rows) {
			t.Fatalf("%d rows of %d lines", len(got.Rows), rows)
		}
	})
}
