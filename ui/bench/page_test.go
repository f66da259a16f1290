package bench_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/bench"
	"evenrim/ui/look"
	"evenrim/ui/port"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"
)

// desk is a Bench page in the toolkit's test driver. Work is joined before
// anything is looked at: see kit.HoldEvery.
type desk struct {
	*bench.Page
	t      testing.TB
	win    fyne.Window
	reader *uitest.Reader
	record *uitest.Record
	cards  *shelfOfCards
}

func newDesk(t testing.TB, card model.JobCard) *desk {
	t.Helper()
	return newDeskOn(t, &uitest.Record{}, card)
}

func newDeskOn(t testing.TB, r *uitest.Record, card model.JobCard) *desk {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay})
	d := &desk{t: t, win: test.NewTempWindow(t, nil), reader: uitest.NewReader(), record: r, cards: &shelfOfCards{}}
	d.Page = bench.New(d.win, bench.Deps{
		Photos: d.reader, Solve: model.Solve, Keeper: d.record, Cards: d.cards, Version: "test", Settle: -1, Workers: 2, Camera: func() {},
		Samples: []bench.Sample{{Photo: port.Source{Name: "sample.jpg", Data: []byte{1}}, Card: uitest.Bracket().Card()}},
	}, card)
	d.win.SetContent(d.Content())
	d.win.Resize(fyne.NewSize(1280, 800))
	t.Cleanup(func() { d.Page.Close(); d.Settle() })
	return d
}

func (d *desk) drop(names ...string) {
	var uris []fyne.URI
	for _, n := range names {
		uris = append(uris, storage.NewFileURI(filepath.Join("/photos", n)))
	}
	d.OpenURIs(uris)
}

// says fails unless the words are somewhere on the page.
func (d *desk) says(words ...string) {
	d.t.Helper()
	all := strings.Join(d.Words(), "\n")
	for _, w := range words {
		if !strings.Contains(all, w) {
			d.t.Errorf("the page doesn't say %q; it says:\n%s", w, all)
		}
	}
}

func (d *desk) saysNot(words ...string) {
	d.t.Helper()
	all := strings.Join(d.Words(), "\n")
	for _, w := range words {
		if strings.Contains(all, w) {
			d.t.Errorf("the page says %q and shouldn't", w)
		}
	}
}

func TestThreeActionsToAVerdict(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	d.says("Own photo", "Sample") // the ways in
	d.drop("bracket.jpg")         // 1: open
	d.Settle()
	d.says("Type the bore diameter")
	entry := d.win.Canvas().Focused()
	if entry == nil {
		t.Fatal("nothing has the focus: the bore should be asked for")
	}
	test.Type(entry, "10") // 2: type the bore
	d.Settle()
	d.says("Does not conform", "mm, 95 %", "Add to setup 2's work offset") // 3: read
	d.saysNot("Type the bore diameter")
	if d.record.Count() != 1 {
		t.Errorf("%d readings kept, want the one that stood", d.record.Count())
	}
	if n := len(d.reader.Cards); n < 2 || d.reader.Cards[n-1].BoreMM != 10 {
		t.Errorf("traced with the cards %+v, want last with the bore that was typed", d.reader.Cards)
	}
}

func TestARefusedPhotoSaysWhyAndHoldsNothingUp(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.reader.Refuse("dark.jpg", model.Refuse(model.Underexposed, "The photo is too dark: give the part more light and take it again."))
	d.reader.Break("list.txt", model.Refuse(model.Unreadable, "list.txt is not a picture: open a JPEG, PNG, TIFF, BMP or WebP file."))
	d.reader.Break("odd.jpg", errors.New("mat 7: assertion failed"))
	d.drop("dark.jpg", "list.txt", "good.jpg", "odd.jpg")
	d.Settle()
	d.says("Too dark", "give the part more light", "Not readable")
	d.saysNot("assertion")
	d.Step(1)
	d.says("list.txt is not a picture")
	d.Step(1) // and the tray follows: the third had no room in it
	d.says("Does not conform", "good.jpg", "X +0.0")
	if d.record.Count() != 1 {
		t.Errorf("%d readings kept, want 1: a refusal is no reading", d.record.Count())
	}
	if d.reader.Closed != d.reader.Opened {
		t.Errorf("%d pictures opened, %d closed", d.reader.Opened, d.reader.Closed)
	}
}

func TestStoppingAPhoto(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.reader.Hold = make(chan struct{})
	d.drop("slow.jpg")
	d.Deliver()
	d.says("Reading", "Stop")
	d.Cancel()
	d.Settle() // ends only if the trace heard of it
	d.says("Stopped", "Look again")
	if d.record.Count() != 0 || d.reader.Traced != 0 {
		t.Errorf("kept %d, traced %d; want nothing of a stopped photo", d.record.Count(), d.reader.Traced)
	}
	close(d.reader.Hold)
	d.reader.Hold = nil
	d.Again()
	d.Settle()
	d.says("Does not conform")
}

func TestReopeningShowsAReadingAsItWas(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	s := uitest.Bracket()
	r, err := model.Solve(s.Trace(), s.Card())
	if err != nil {
		t.Fatal(err)
	}
	r.Photo = model.Photo{Name: "old.jpg", WidthPx: s.W, HeightPx: s.H}
	r.Mismatch.X = 0.1234 // as an older version may have read it: shown, never recomputed
	if _, err := d.record.Keep(context.Background(), r, port.Source{Name: "old.jpg", Data: []byte{1}}); err != nil {
		t.Fatal(err)
	}
	d.ToggleKept()
	d.Reopen("1")
	d.Settle()
	d.says("+0.1234", "From the record, no. 1, exactly as it was kept", "old.jpg")
	if d.record.Count() != 1 {
		t.Errorf("%d readings in the record, want the one", d.record.Count())
	}
	d.SwapUnits()
	d.says("+0.00486") // 0.1234 mm / 25.4
}

func TestAFullDiskIsSaid(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.record.Full = errors.New("The reading could not be kept: the disk is full.")
	d.drop("a.jpg")
	d.Settle()
	d.says("Does not conform", "the disk is full")
}

// A sample is there to be looked at: among the shop's readings it would count as one
// of its parts. The shop's own photo beside it is kept as ever.
func TestASampleIsShownAndNotKept(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.OpenSample(0)
	d.Settle()
	d.says("Does not conform", "The program's own sample: shown, and not kept among your readings")
	d.Type("tolerance", "0.5 mm")
	d.Settle()
	if n := d.record.Count(); n != 0 {
		t.Errorf("%d readings of the sample in the record", n)
	}
	d.drop("own.jpg")
	d.Settle()
	if n := d.record.Count(); n != 1 {
		t.Errorf("%d readings in the record, want the own photo's", n)
	}
	d.says("Kept in the record, no. 1")
}

// Whoever changes the card of a kept reading, or reads a photo that is in the record
// already, is told that the new reading counts and the old one stays.
func TestTheSheetSaysWhosePlaceAReadingTook(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("a.jpg")
	d.Settle()
	d.Type("tolerance", "0.5 mm")
	d.Settle()
	d.says("Kept in the record, no. 2, in the place of no. 1 (job card changed: tolerance 0.0254 mm to 0.5 mm), which stays there as corrected")
}

// What belongs to a picture comes back with it on another day: a new reading without the
// direction of +X would take the place of one that has it.
func TestAPhotoOfAnotherDayIsKnownAgain(t *testing.T) {
	first := newDesk(t, uitest.Bracket().Card())
	first.drop("a.jpg")
	first.Settle()
	first.Type("plus-x", "-157")
	first.Settle()

	d := newDeskOn(t, first.record, uitest.Bracket().Card())
	d.drop("a.jpg")
	d.Settle()
	d.says("This photo was read before: no. 2, ", "Its +X was taken over from there.", "Kept in the record, no. 3, in the place of no. 2 (the same photo, read again)")
	r, _, err := d.record.Reopen(t.Context(), "3")
	if err != nil || math.Abs(r.Job.PlusX+157*math.Pi/180) > 1e-9 {
		t.Errorf("read with +X at %g rad, %v; want -157 degrees", r.Job.PlusX, err)
	}
	d.drop("another.jpg") // by itself: of two at once either may be kept first
	d.Settle()
	d.Select(2)
	d.Settle()
	if all := strings.Join(d.Words(), "\n"); strings.Contains(all, "was read before") {
		t.Errorf("another photo is said to have been read before:\n%s", all)
	}

	d = newDeskOn(t, first.record, model.JobCard{})
	d.drop("a.jpg")
	d.Settle()
	d.says("Does not conform", "This photo was read before: no. 3, ", "Its job card and +X were taken over from there.")
}

// The card of another job, left over from the last start, doesn't replace a kept reading: the
// photo is read by its own.
func TestAPhotoOpenedAgainIsReadByItsOwnCard(t *testing.T) {
	first := newDesk(t, uitest.Bracket().Card())
	first.drop("a.jpg")
	first.Settle()
	left := uitest.Bracket().Card()
	left.BoreMM, left.ChamferMM = 8, 0.3
	d := newDeskOn(t, first.record, left)
	d.drop("a.jpg")
	d.Settle()
	if r, _, err := d.record.Reopen(t.Context(), "2"); err != nil || r.Job.BoreMM != 10 {
		t.Errorf("read again by %+v, %v; want the bore of 10 mm that it was kept with", r, err)
	}
	if d.reader.Traced != 1 || d.reader.Cards[0].BoreMM != 10 {
		t.Errorf("traced by %+v, want once, by its own card", d.reader.Cards)
	}
	d.says("Its job card and +X were taken over from there.")
}

// A reading reopened for a look is not the one to go by when another has taken its place.
func TestAReopenedReadingSaysThatAnotherCounts(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("a.jpg")
	d.Settle()
	d.Type("tolerance", "0.5 mm")
	d.Settle()
	d.Reopen("2")
	d.Settle()
	if all := strings.Join(d.Words(), "\n"); strings.Contains(all, "counts instead") {
		t.Errorf("the last reading is said to be corrected:\n%s", all)
	}
	d.Reopen("1")
	d.Settle()
	d.says("From the record, no. 1, exactly as it was kept", "Another reading corrects reading 1 and counts instead.")
}

// A page to print says of which part it is, as the shop wrote it beside the reading.
func TestThePrintedPageNamesThePart(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	if l := d.LabelsOf("7"); l.Part != "part of 7" || l.Record != "7" {
		t.Errorf("%+v", l)
	}
	if l := d.LabelsOf(""); l != (report.Labels{}) {
		t.Errorf("of what is not kept: %+v", l)
	}
}

func TestClosingKeepsWhatStood(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("a.jpg")
	d.Settle()
	kept := d.record.Count()
	d.Page.Close()
	d.Settle()
	if kept != 1 || d.record.Count() != 1 {
		t.Errorf("kept %d before closing and %d after, want 1 and 1", kept, d.record.Count())
	}
}

// Photos named at the start are there before the window has its size: the one shown is
// in sight all the same.
func TestTheTrayShowsThePhotoSelectedFromTheStart(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.Content().Resize(fyne.NewSize(0, 0))
	d.drop("a.jpg", "b.jpg", "c.jpg", "d.jpg", "e.jpg", "f.jpg")
	d.Settle()
	d.Content().Resize(fyne.NewSize(1280, 800))
	if x := d.TrayOffset(); x != 0 {
		t.Errorf("the tray stands %g points beyond the photo shown, its first", x)
	}
}

func TestTheTrayOfManyPhotosHasSlipsOnlyForThoseInSight(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	var names []string
	for i := range 60 {
		names = append(names, fmt.Sprintf("p%02d.jpg", i))
	}
	d.drop(names...)
	d.Settle()
	if n := d.Slips(); n < 2 || n > 6 {
		t.Errorf("%d slips for 60 photos, want those in sight", n)
	}
	d.Step(-1) // round to the last
	d.says("p59.jpg")
	d.RemoveAll()
	d.says("Own photo")
	if n := d.Slips(); n != 0 || d.record.Count() != 60 {
		t.Errorf("%d slips are left and %d readings kept, want none and 60", n, d.record.Count())
	}
}

func TestReturnGoesFromFieldToFieldAndEscapeLetsGo(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	d.win.Resize(fyne.NewSize(1024, 700))
	d.drop("bracket.jpg")
	d.Settle()
	key := func(k fyne.KeyName) { d.win.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: k}) }
	for _, s := range []string{"10", "0.4", "45", "8", "1 thou", "0"} { // down to +X
		test.Type(d.win.Canvas().Focused(), s)
		key(fyne.KeyReturn)
	}
	d.Settle()
	if c := d.Card(); c.BoreMM != 10 || c.ChamferMM != 0.4 || c.ThicknessMM != 8 || c.ToleranceMM != 0.0254 {
		t.Errorf("typed with Return between: %+v", c)
	}
	e, ok := d.win.Canvas().Focused().(fyne.CanvasObject)
	if !ok {
		t.Fatal("nothing has the cursor after the last Return")
	}
	y := fyne.CurrentApp().Driver().AbsolutePositionForObject(e).Y
	if bottom := y + e.Size().Height; y < 0 || bottom > 700 {
		t.Errorf("the field with the cursor is out of sight, from %g to %g of 700", y, bottom)
	}
	key(fyne.KeyEscape)
	if f := d.win.Canvas().Focused(); f != nil {
		t.Errorf("%T still has the cursor after Escape", f)
	}
}
