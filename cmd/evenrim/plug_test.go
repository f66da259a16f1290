package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/assets"
	"evenrim/model"
	"evenrim/model/record"
	"evenrim/ui/port"
)

func TestEyeShowsWhatItMeasuresIn(t *testing.T) {
	s := assets.Samples()[0]
	path := filepath.Join(t.TempDir(), "a.jpg")
	if err := os.WriteFile(path, s.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, src := range []port.Source{{Path: path}, {Name: "a.jpg", Data: s.Data}} {
		p, err := eye{}.Open(context.Background(), src)
		if err != nil {
			t.Fatal(err)
		}
		if i := p.Info(); i.Name != "a.jpg" || i.WidthPx != p.RGBA().Rect.Dx() || i.SHA256 != record.HashPhoto(s.Data) {
			t.Errorf("%+v, picture %v", i, p.RGBA().Rect)
		}
		p.Close()
		p.Close()
	}
}

// A fault in the finder must not take the window with it.
func TestFaultBecomesARefusal(t *testing.T) {
	_, err := eye{}.Trace(context.Background(), picture{}, model.JobCard{BoreMM: 8}, nil)
	var r *model.Refusal
	if !errors.As(err, &r) || r.Reason != model.Failed || strings.Contains(r.Sentence, "nil pointer") {
		t.Fatalf("Trace of no photo: %v", err)
	}
	_, file, _ := strings.Cut(r.Sentence, "with the file ")
	file = strings.TrimSuffix(file, ".")
	if b, err := os.ReadFile(file); err != nil || !strings.Contains(string(b), "nil pointer") {
		t.Errorf("the details are not in %q: %v", file, err)
	}
	os.Remove(file)
}

func TestShelfKeepsAndGivesBack(t *testing.T) {
	store, err := record.Open(context.Background(), t.TempDir())
	k := newShelf(store, err)
	defer k.Close()
	s := assets.Samples()[0]
	r := aReading()
	r.Photo = model.Photo{Name: s.Name, SHA256: record.HashPhoto(s.Data)}
	r.Job.ShowInch = true
	id, err := k.Keep(context.Background(), r, port.Source{Name: s.Name, Data: s.Data})
	if err != nil {
		t.Fatal(err)
	}
	rows, err := k.Last(context.Background(), 5)
	if err != nil || len(rows) != 1 || rows[0].ID != id || rows[0].Mismatch != r.Mismatch || !rows[0].ShowInch || rows[0].Photo != s.Name {
		t.Errorf("Last = %+v, %v", rows, err)
	}
	back, src, err := k.Reopen(context.Background(), id)
	if err != nil || back.U95MM != r.U95MM || string(src.Data) != string(s.Data) || src.Name != s.Name {
		t.Errorf("Reopen = %+v, %v", back, err)
	}
	if _, _, err := k.Reopen(context.Background(), "x"); err == nil {
		t.Error("Reopen of no number gave no error")
	}
}

// A picture that is read again by another job card says so in the record, not just that it
// was read again; of another hole in it the record says nothing of the kind.
func TestShelfNamesAChangedCard(t *testing.T) {
	store, err := record.Open(t.Context(), t.TempDir())
	k := newShelf(store, err)
	defer k.Close()
	s := assets.Samples()[0]
	keep := func(boreMM, atX float64) port.Kept {
		t.Helper()
		r := aReading()
		r.Photo = model.Photo{Name: s.Name, SHA256: record.HashPhoto(s.Data)}
		r.Job.BoreMM, r.Outer = boreMM, model.RimShape{CX: atX, CY: 200, A: 100, B: 100}
		if _, err := k.Keep(t.Context(), r, port.Source{Name: s.Name, Data: s.Data}); err != nil {
			t.Fatal(err)
		}
		rows, err := k.Last(t.Context(), 1)
		if err != nil || len(rows) != 1 {
			t.Fatalf("%+v, %v", rows, err)
		}
		return rows[0]
	}
	first := keep(6.35, 300)
	if got := keep(8, 300); got.Replaces != first.ID || got.Why != "job card changed: bore 6.35 mm to 8 mm" {
		t.Errorf("in the place of %q because %q", got.Replaces, got.Why)
	}
	if got := keep(10, 900); got.Replaces != "" {
		t.Errorf("another hole's reading is in the place of %q", got.Replaces)
	}
}

// Without a record each reading is refused aloud.
func TestShelfWithoutARecord(t *testing.T) {
	why := errors.New("The disk is full: make room.")
	k := newShelf(nil, why)
	if _, err := k.Keep(context.Background(), aReading(), port.Source{}); !errors.Is(err, why) {
		t.Errorf("Keep: %v", err)
	}
	if err := k.Close(); err != nil {
		t.Error(err)
	}
}
