package record

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"evenrim/model"

	"github.com/google/go-cmp/cmp"
)

// sampleSet is what two readings say together, with numbers that JSON lacks.
func sampleSet(at time.Time) *model.Joined {
	return &model.Joined{
		Job: model.JobCard{Name: "valve rod bracket", BoreMM: 10, ChamferMM: 0.25}.WithDefaults(),
		Set: model.TurnSet{Mismatch: model.Vec{X: 0.012, Y: -0.003}, Cov: model.Sym2{XX: 1e-6, XY: 2e-8, YY: 1.1e-6}, U95MM: 0.0026,
			CameraBias: model.Vec{X: 0.02, Y: 0.001}, Separated: true, WidthMM: 0.25, WidthUMM: 0.001, PValue: math.NaN(), Scale: 1, Gain: 3.2,
			Turns: []model.TurnResidual{{Photo: "one.jpg", ResidualMM: model.Vec{X: 1e-4}}, {Photo: "two.jpg", TurnRad: math.Pi, PValue: 1}}},
		Verdict: model.Conforms, PWithin: 0.99, Correction: model.Correction{Setup2: model.Vec{X: -0.012, Y: 0.003}}, Version: "0.1.0", MadeAt: at,
	}
}

// twoAndASet is a record with two readings and what they say together.
func twoAndASet(t testing.TB) (*Store, *model.Joined) {
	t.Helper()
	s := openNew(t)
	keepSample(t, s, 1, Labels{Part: "1", Hole: "A"})
	keepSample(t, s, 2, Labels{Part: "1", Hole: "A"})
	j := sampleSet(time.Date(2031, 3, 14, 9, 30, 0, 123456789, time.UTC))
	if id, err := s.KeepTurnSet(t.Context(), j, []ID{1, 2}); err != nil || id != 1 {
		t.Fatalf("KeepTurnSet: %d, %v", id, err)
	}
	return s, j
}

func TestTurnSetComesBackAsItWasKept(t *testing.T) {
	s, want := twoAndASet(t)
	got, e, err := s.TurnSet(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got, sameBits); d != "" {
		t.Errorf("the set (-want +got):\n%s", d)
	}
	if !cmp.Equal(e.Members, []ID{1, 2}) || e.Part != "1" || e.Hole != "A" || e.Photo != "bracket-1.jpg" || e.Mismatch != want.Set.Mismatch || e.Outdated {
		t.Errorf("entry %+v", e)
	}
	// Kept again it is not doubled.
	if id, err := s.KeepTurnSet(t.Context(), want, []ID{1, 2}); err != nil || id != 1 {
		t.Errorf("kept again: %d, %v, want the first", id, err)
	}
	if list, err := s.TurnSets(t.Context(), 0); err != nil || len(list) != 1 {
		t.Errorf("%d sets, %v, want 1", len(list), err)
	}
	mustBeSound(t, s)
}

func TestTurnSetIsOutdatedOnceAReadingIsCorrected(t *testing.T) {
	s, want := twoAndASet(t)
	photo := samplePhoto(2, 3000)
	if _, err := s.Correct(t.Context(), sampleReading(9, photo), photo, Labels{}, Correction{Of: 2, Who: "Ash", Why: "wrong bore"}); err != nil {
		t.Fatal(err)
	}
	got, e, err := s.TurnSet(t.Context(), 1)
	if err != nil || !e.Outdated || !cmp.Equal(e.Members, []ID{1, 2}) {
		t.Errorf("entry %+v, %v: want it outdated, of the same readings", e, err)
	}
	if d := cmp.Diff(want, got, sameBits); d != "" {
		t.Errorf("the set was changed (-want +got):\n%s", d)
	}
}

func TestTurnSetWithoutItsReadingsIsRefused(t *testing.T) {
	s, j := twoAndASet(t)
	for _, tt := range []struct {
		members []ID
		want    error
	}{{[]ID{1, 7}, ErrNotFound}, {[]ID{1}, ErrRefused}, {[]ID{1, 1}, ErrRefused}, {nil, ErrRefused}} {
		if _, err := s.KeepTurnSet(t.Context(), j, tt.members); !errors.Is(err, tt.want) {
			t.Errorf("members %v: %v, want %v", tt.members, err, tt.want)
		}
	}
	if _, _, err := s.TurnSet(t.Context(), 2); !errors.Is(err, ErrNotFound) {
		t.Errorf("a set that isn't there: %v", err)
	}
}

func TestTurnSetsAreNeverChangedOrDeleted(t *testing.T) {
	s, _ := twoAndASet(t)
	for _, q := range []string{
		`UPDATE turn_set SET dx_mm = 0`, `DELETE FROM turn_set`, `INSERT OR REPLACE INTO turn_set SELECT * FROM turn_set`,
		`UPDATE turn_member SET place = 9`, `DELETE FROM turn_member`, `INSERT OR REPLACE INTO turn_member VALUES (1, 1, 2)`,
	} {
		if _, err := s.write.Exec(q); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: %v, want it refused", q, err)
		}
	}
}

func TestCheckFindsADamagedTurnSet(t *testing.T) {
	s, _ := twoAndASet(t)
	err := execAll(s, nil, `DROP TRIGGER turn_set_no_update`, `UPDATE turn_set SET dx_mm = 0.5`)
	if r, cerr := s.Check(t.Context(), nil); err != nil || cerr != nil || !anyContains(r.Faults, "T1") {
		t.Errorf("%v, %v, faults %q: want the turn set named", err, cerr, r.Faults)
	}
	if err := execAll(s, nil, `UPDATE turn_set SET dx_mm = 0.012, body = zeroblob(20)`); err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.TurnSet(t.Context(), 1); !errors.Is(err, ErrDamaged) {
		t.Errorf("opened though damaged: %v", err)
	}
}

func TestTurnSetsGoToAnotherBenchWithTheirReadings(t *testing.T) {
	a, want := twoAndASet(t)
	b := openNew(t)
	keepSample(t, b, 50, Labels{}) // so that the numbers differ
	_, data := exported(t, a, Query{})
	for round, want := range []ImportResult{{Added: 2, Sets: 1}, {Known: 2}} {
		if res, err := imported(t, b, data); err != nil || !cmp.Equal(res, want) {
			t.Fatalf("import %d: %+v, %v, want %+v", round+1, res, err, want)
		}
	}
	got, e, err := b.TurnSet(t.Context(), 1)
	if err != nil || !cmp.Equal(e.Members, []ID{2, 3}) {
		t.Fatalf("%+v, %v", e, err)
	}
	if d := cmp.Diff(want, got, sameBits); d != "" {
		t.Errorf("the set (-want +got):\n%s", d)
	}
	mustBeSound(t, b)
	// A set is not torn apart: with one of its readings alone it stays at home.
	if err := a.Label(t.Context(), 2, "Ash", Labels{Part: "2"}); err != nil {
		t.Fatal(err)
	}
	c := openNew(t)
	_, data = exported(t, a, Query{Part: "1"})
	if res, err := imported(t, c, data); err != nil || res.Added != 1 || res.Sets != 0 {
		t.Errorf("%+v, %v, want one reading and no set", res, err)
	}
}
