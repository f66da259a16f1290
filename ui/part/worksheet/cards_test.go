package worksheet_test

import (
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/ui/part/worksheet"
	"evenrim/ui/port"
	"evenrim/ui/uitest"
)

var noBore = model.Refuse(model.BadInput, "Type the bore's diameter.")

// onePhoto is a sheet with a photo that is being read with a card.
func onePhoto(card model.JobCard) (*worksheet.Sheet, *worksheet.Photo) {
	s := worksheet.New(card, model.Solve)
	p := s.AddPhoto(s.AddHole(), port.Source{Name: "a.jpg"})
	p.Stage = worksheet.Reading
	return s, p
}

func typeInto(t *testing.T, s *worksheet.Sheet, label, text string) {
	t.Helper()
	if err := field(t, s.CardFields(), label).Set(text); err != nil {
		t.Fatalf("%s %q: %v", label, text, err)
	}
}

func TestAPhotoWaitsForItsBore(t *testing.T) {
	s, p := onePhoto(model.JobCard{})
	s.Finish(p.ID, p.Card, nil, noBore)
	typeInto(t, s, "Chamfer", "0.4") // nothing to read it by yet
	if p.Stage != worksheet.NoReading || !strings.Contains(p.Problem, "bore") {
		t.Errorf("stage %d, %q", p.Stage, p.Problem)
	}
	typeInto(t, s, "Bore", "10")
	if p.Stage != worksheet.Waiting || p.Card.BoreMM != 10 {
		t.Errorf("stage %d with a bore of %g, want it to be read now", p.Stage, p.Card.BoreMM)
	}
}

// A card that is typed while its photo is being read counts: the photo is read again with
// what stands there in the end.
func TestACardTypedWhileAPhotoIsRead(t *testing.T) {
	dark := model.Refuse(model.Underexposed, "The photo is too dark: give the part more light.")
	card := uitest.Bracket().Card()
	for _, tt := range []struct {
		name         string
		begin        model.JobCard
		label, typed string
		refused      error // nil = it was read
		want         worksheet.Stage
	}{
		{"the bore that was missing", model.JobCard{}, "Bore", "10", noBore, worksheet.Waiting},
		{"another bore, refused", card, "Bore", "12", dark, worksheet.Waiting},
		{"a thickness, refused", card, "Thickness", "9", dark, worksheet.Waiting},
		{"the part's name, refused", card, "Part", "Plate 7", dark, worksheet.NoReading},
		{"a bore that makes other rims likely", card, "Bore", "12", nil, worksheet.Waiting},
		{"a thickness", card, "Thickness", "9", nil, worksheet.Waiting},
		{"a tolerance", card, "Tolerance", "0.1", nil, worksheet.Done},
	} {
		s, p := onePhoto(tt.begin)
		typeInto(t, s, tt.label, tt.typed)
		finish(t, s, p, tt.begin, tt.refused)
		if p.Stage != tt.want {
			t.Errorf("%s: stage %d, %q; want %d", tt.name, p.Stage, p.Problem, tt.want)
		}
		if p.Stage != worksheet.Waiting {
			continue
		}
		finish(t, s, p, p.Card, tt.refused) // with that card there is no more to try
		if want := map[bool]worksheet.Stage{true: worksheet.Done, false: worksheet.NoReading}[tt.refused == nil]; p.Stage != want {
			t.Errorf("%s, read again: stage %d, want %d", tt.name, p.Stage, want)
		}
	}
}

// What was refused, or read from rims that another card makes doubtful, is looked at once
// more when the card changes; a reading stays in sight until then and is not kept.
func TestACardChangedAfterAPhotoWasRead(t *testing.T) {
	card := uitest.Bracket().Card()
	s, p := onePhoto(card)
	finish(t, s, p, card, model.Refuse(model.NoHole, "No hole is seen."))
	typeInto(t, s, "Chamfer", "0.8")
	if p.Stage != worksheet.Waiting || p.Problem != "" {
		t.Errorf("refused: stage %d, %q; want it looked at again", p.Stage, p.Problem)
	}
	finish(t, s, p, p.Card, nil)
	typeInto(t, s, "Chamfer", "0.4")
	if p.Stage != worksheet.Waiting || p.Reading == nil || s.Report == nil {
		t.Errorf("read: stage %d, reading %v; want it in sight and looked at again", p.Stage, p.Reading)
	}
	if n := s.NotKept(); n != 0 {
		t.Errorf("%d to keep while the photo is looked at again", n)
	}
	finish(t, s, p, p.Card, nil)
	s.WasKept(p.ID, p.Reading, "1")
	typeInto(t, s, "Chamfer", "0.8")
	if p.Stage != worksheet.Done || p.Kept != "1" {
		t.Errorf("kept: stage %d, kept as %q; want it left alone", p.Stage, p.Kept)
	}
}

// A new reading that comes after the one before was kept is to be kept itself.
func TestANewReadingIsNotTheOneThatWasKept(t *testing.T) {
	card := uitest.Bracket().Card()
	s, p := onePhoto(card)
	finish(t, s, p, card, nil)
	old := p.Reading
	typeInto(t, s, "Chamfer", "0.8")
	s.WasKept(p.ID, p.Reading, "1") // it was on its way into the record
	finish(t, s, p, p.Card, nil)
	if p.Kept != "" || p.Reading == old {
		t.Errorf("kept as %q, want the new reading not kept", p.Kept)
	}
}

// finish ends the reading of a photo, refused unless that is nil.
func finish(t *testing.T, s *worksheet.Sheet, p *worksheet.Photo, with model.JobCard, refused error) {
	t.Helper()
	if refused != nil {
		s.Finish(p.ID, with, nil, refused)
		return
	}
	r, err := model.Solve(uitest.Bracket().Trace(), with.WithDefaults())
	if err != nil {
		t.Fatal(err)
	}
	r.Photo.SHA256 = p.Name()
	s.Finish(p.ID, with, r, nil)
}

// A card that no photo can be read by is refused beside its field; the card stays, and no
// answer shows that is of another.
func TestACardThatCannotBeUsedIsRefused(t *testing.T) {
	s, p := onePhoto(uitest.Bracket().Card())
	finish(t, s, p, p.Card, nil)
	was := p.Card
	for label, typed := range map[string]string{"Bore": "900", "Chamfer": "6", "Thickness": "1200", "Tolerance": "50"} {
		if err := field(t, s.CardFields(), label).Set(typed); err == nil || !strings.HasSuffix(err.Error(), ".") {
			t.Errorf("%s %q is taken, or refused without a sentence: %v", label, typed, err)
		}
		if p.Card != was || s.Card.ToleranceMM != was.ToleranceMM || s.Report != nil {
			t.Errorf("%s %q was refused and changed the card, or the answer of the card before still shows", label, typed)
		}
	}
	typeInto(t, s, "Thickness", "9")
	if p.Reading == nil || p.Reading.Job.ThicknessMM != 9 {
		t.Error("the next change of the card has no effect")
	}
	if s, _ := onePhoto(model.JobCard{}); field(t, s.CardFields(), "Tolerance").Set("50") == nil {
		t.Error("a tolerance of 50 mm is taken while no bore is known")
	}
}

// A photo that can't be solved by the card as it is now has no reading, and says why; one
// that can is read again. Where rims may be others it is looked at again meanwhile.
func TestACardThatCannotBeSolvedHidesTheResult(t *testing.T) {
	refusal := model.Refuse(model.BadInput, "The exit rim does not fit this card: check it.")
	s := worksheet.New(uitest.Bracket().Card(), func(tr model.Trace, c model.JobCard) (*model.Reading, error) {
		if c.ThicknessMM == 9 || c.ToleranceMM == 0.03 {
			return nil, refusal
		}
		return model.Solve(tr, c)
	})
	p := s.AddPhoto(s.AddHole(), port.Source{Name: "a.jpg"})
	p.Stage = worksheet.Reading
	finish(t, s, p, p.Card, nil)
	typeInto(t, s, "Tolerance", "0.03")
	if p.Reading != nil || s.Report != nil || p.Stage != worksheet.NoReading || !strings.Contains(p.Problem, "exit rim") {
		t.Errorf("a card that can't be solved: stage %d, %q, reading %v; want none and why", p.Stage, p.Problem, p.Reading)
	}
	typeInto(t, s, "Tolerance", "0.05")
	if p.Stage != worksheet.Waiting {
		t.Errorf("put right: stage %d, want it looked at again", p.Stage)
	}
	p.Stage = worksheet.Reading
	finish(t, s, p, p.Card, nil)
	typeInto(t, s, "Thickness", "9")
	if p.Reading != nil || s.Report != nil || p.Stage != worksheet.Waiting {
		t.Errorf("a thickness that can't be solved: stage %d, reading %v; want none and another look", p.Stage, p.Reading)
	}
	p.Stage = worksheet.Reading
	finish(t, s, p, p.Card, refusal)
	if p.Stage != worksheet.NoReading || !strings.Contains(p.Problem, "exit rim") {
		t.Errorf("refused after another look: stage %d, %q; want none and why", p.Stage, p.Problem)
	}
}
