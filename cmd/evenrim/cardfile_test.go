package main

import (
	"os"
	"path/filepath"
	"testing"

	"evenrim/model"

	"github.com/google/go-cmp/cmp"
)

func TestJobCardsAreKept(t *testing.T) {
	dir := t.TempDir()
	c := &cardFile{dir: dir}
	if got, err := c.All(); err != nil || len(got) != 0 {
		t.Fatalf("an empty folder: %v, %v", got, err)
	}
	lug := model.JobCard{Name: "Valve rod bracket", BoreMM: 12.7, ChamferMM: 0.127, HalfAngle: 0.7853981633974483, ShowInch: true, Flip: model.FlipAboutX}
	rod := model.JobCard{Name: "crosshead", BoreMM: 8}
	for _, card := range []model.JobCard{lug, rod} {
		if err := c.Save(card); err != nil {
			t.Fatal(err)
		}
	}
	lug.Name, lug.ThicknessMM = "VALVE ROD BRACKET", 6 // the same name: it is replaced
	if err := c.Save(lug); err != nil {
		t.Fatal(err)
	}
	got, err := (&cardFile{dir: dir}).All()
	if d := cmp.Diff([]model.JobCard{rod, lug}, got); err != nil || d != "" {
		t.Errorf("read back (-want +got): %v %s", err, d)
	}
	if err := c.Delete("Crosshead"); err != nil {
		t.Fatal(err)
	}
	if got, _ := c.All(); len(got) != 1 {
		t.Errorf("%d cards after deleting one of two", len(got))
	}
	if err := c.Save(model.JobCard{Name: "  "}); err == nil {
		t.Error("a card without a name was kept")
	}
	if names, _ := filepath.Glob(filepath.Join(dir, ".*")); len(names) > 0 {
		t.Errorf("left behind: %v", names)
	}
}

func TestABrokenFileOfCardsIsNotWrittenOver(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, cardFileName)
	if err := os.WriteFile(path, []byte("[{ half a card"), 0o644); err != nil {
		t.Fatal(err)
	}
	c := &cardFile{dir: dir}
	if err := c.Save(model.JobCard{Name: "a", BoreMM: 5}); err == nil {
		t.Error("saved over a file that could not be read")
	}
	if data, _ := os.ReadFile(path); string(data) != "[{ half a card" {
		t.Errorf("the file now holds %q", data)
	}
}
