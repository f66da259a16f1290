package draft

import (
	"bytes"
	"os"
	"testing"
	"time"

	"evenrim/model/chart"
	"evenrim/model/report"
)

// All four sections print, on either paper, and the same plan gives the same file.
func TestSetupSheetsPrintTheSameTwice(t *testing.T) {
	at := time.Date(2026, 5, 4, 9, 30, 0, 0, time.UTC)
	for _, u := range []chart.Unit{chart.MM, chart.Inch} {
		d := New()
		d.ShowIn(u)
		d.Set("form", "20 um")
		pages, err := d.Sheets("test", at)
		if err != nil || len(pages) != 4 {
			t.Fatalf("%d pages, %v", len(pages), err)
		}
		var a, b bytes.Buffer
		for _, out := range []*bytes.Buffer{&a, &b} {
			if err := report.Write(out, report.PaperFor(u), pages...); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Error("written twice, the files differ")
		}
		if got := bytes.Count(a.Bytes(), []byte("/Type /Page\n")); got != 4 {
			t.Errorf("%d pages in the file, want 4", got)
		}
		if dir := os.Getenv("EVENRIM_PICTURES"); dir != "" {
			os.WriteFile(dir+"/sheet-"+u.String()+".pdf", a.Bytes(), 0o644)
		}
	}
}
