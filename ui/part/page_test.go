package part_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/part"
	"evenrim/ui/part/worksheet"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"
)

// desk is a Part page in the toolkit's test driver. Work is joined before anything
// is looked at: see kit.HoldEvery.
type desk struct {
	*part.Page
	t      *testing.T
	win    fyne.Window
	reader *uitest.Reader
	record *uitest.Record
}

var places = []model.Vec{{X: -42, Y: -28}, {X: 44, Y: -28}, {X: 44, Y: 30}, {X: -40, Y: 31}}

func newDesk(t *testing.T) *desk {
	t.Helper()
	return newDeskOn(t, &uitest.Record{})
}

func newDeskOn(t *testing.T, r *uitest.Record) *desk {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay})
	d := &desk{t: t, win: test.NewTempWindow(t, nil), reader: uitest.NewReader(), record: r}
	sample := &part.Sample{Photos: map[string][]byte{}, Walls: []byte("wall,at_x,at_y,normal_deg,heights,resolution\nright,60,0,0,0.062mm,0.0001in\n")}
	card := uitest.Bracket().Card()
	list := "photo,bore,chamfer,thickness,part,hole,hole_x,hole_y\n"
	for i, at := range places {
		name := fmt.Sprintf("hole-%c.jpg", 'A'+i)
		s := uitest.Bracket()
		s.Solid.Mismatch = model.Vec{X: 0.06, Y: -0.02}.Add(at.Rotate(0.0014).Sub(at))
		d.reader.Know(name, s)
		sample.Photos[name] = []byte{1}
		list += fmt.Sprintf("%s,%gmm,%gmm,%gmm,Guide bar bracket,%c,%gmm,%gmm\n", name, card.BoreMM, card.ChamferMM, card.ThicknessMM, 'A'+i, at.X, at.Y)
	}
	sample.Readings = []byte(list)
	d.Page = part.New(d.win, part.Deps{Photos: d.reader, Solve: model.Solve, Keeper: d.record, Sample: sample, Version: "test", Workers: 2})
	d.win.SetContent(d.Content())
	d.win.Resize(fyne.NewSize(1360, 860))
	t.Cleanup(func() { d.Page.Close(); d.Settle() })
	return d
}

// says fails unless the words are somewhere on the page, or on what lies over it.
func (d *desk) says(words ...string) {
	d.t.Helper()
	all := strings.Join(d.Words(nil), "\n")
	if top := d.win.Canvas().Overlays().Top(); top != nil {
		all += strings.Join(d.Words(top), "\n")
	}
	for _, w := range words {
		if !strings.Contains(all, w) {
			d.t.Errorf("the page doesn't say %q; it says:\n%s", w, all)
		}
	}
}

func TestOneClickShowsThePart(t *testing.T) {
	d := newDesk(t)
	d.says("A part with several holes", "Show the sample part")
	d.OpenSample()
	d.says("Reading the photos", "Stop")
	d.Settle()
	d.says("Does not conform", "turn", "counter-clockwise", "At the machine", "add −0.06", "Correct in one setup only", "The part was clamped turned", "To be sure:")
	d.says("A", "off the fit", "at −42.00, −28.00")
	if d.Title() != "Guide bar bracket" {
		t.Errorf("title %q", d.Title())
	}
	if d.reader.Opened != 4 || d.reader.Closed != 4 {
		t.Errorf("%d pictures opened, %d closed, want 4 and 4", d.reader.Opened, d.reader.Closed)
	}
	d.TapNumber(0)
	d.says("Shift in X: where it comes from", "Least squares over 4 holes and 1 wall", "Hole A:")
	d.win.Canvas().Overlays().Top().Hide()
	d.SwapUnits()
	d.says("+0.0023", "in")
}

func TestTypingWhereAHoleIs(t *testing.T) {
	d := newDesk(t)
	d.OpenSample()
	d.Settle()
	d.Tap(0)
	d.says("Where it comes from", "Add its photo", "From the record")
	e := d.Entry("X from part zero")
	if e == nil {
		t.Fatal("no field for X")
	}
	e.SetText("2in")
	if at := d.Sheet().Holes[0].At.X; at != 50.8 {
		t.Errorf("X is %g mm, want 50.8", at)
	}
	e.SetText("far")
	d.says("far")
	if at := d.Sheet().Holes[0].At.X; at != 50.8 {
		t.Errorf("X is %g mm after a slip of typing, want it left alone", at)
	}
	if d.Entry("X from part zero") != e {
		t.Error("the field is made anew while it is typed in")
	}
	d.Turn(1)
	d.Tap(0)
	e = d.Entry("Readings, + = setup 2 proud")
	if e == nil {
		t.Fatal("no field for readings")
	}
	e.SetText("0.5 0.6 0.5 thou")
	if n := len(d.Sheet().Walls[0].Wall.StepMM); n != 3 {
		t.Errorf("%d readings, want 3", n)
	}
}

// An error below a field leaves the field where it is, level with its neighbours.
func TestAFieldWithAnErrorStaysInItsRow(t *testing.T) {
	d := newDesk(t)
	d.OpenSample()
	d.Settle()
	d.Turn(2)
	bore, chamfer := d.Entry("Bore"), d.Entry("Chamfer")
	top := func(o fyne.CanvasObject) float32 {
		return fyne.CurrentApp().Driver().AbsolutePositionForObject(o).Y
	}
	before := top(bore)
	bore.SetText("abc")
	d.says("is not a number")
	if got, beside := top(bore), top(chamfer); got != before || beside != before {
		t.Errorf("at %g, its neighbour at %g; both were at %g", got, beside, before)
	}
}

func TestStoppingAndLookingAgain(t *testing.T) {
	d := newDesk(t)
	d.reader.Hold = make(chan struct{})
	d.OpenSample()
	d.Deliver()
	d.Cancel()
	d.Settle() // ends only if the traces heard of it
	d.says("Stopped: 4 not read", "Look again")
	close(d.reader.Hold)
	d.reader.Hold = nil
	d.Again()
	d.Settle()
	d.says("Does not conform")
}

// A photo that is in the record already is the same part: keeping it again says so.
func TestKeepingAPhotoAgainSaysWhosePlaceItTakes(t *testing.T) {
	r := &uitest.Record{}
	keep := func() *desk {
		d := newDeskOn(t, r)
		d.OpenURIs([]fyne.URI{storage.NewFileURI("/p/hole-A.jpg")})
		d.Settle()
		d.Turn(2)
		d.Entry("Bore").SetText("10mm")
		d.Settle()
		d.Keep()
		d.Settle()
		return d
	}
	keep().says("1 reading is in the record now.")
	keep().says("Photos that were in the record already: no. 2 took the place of no. 1. The old readings stay there as corrected.")
}

// The bore is typed while the photo is still being opened, a digit at a time: the photo is
// read with the bore that stands there in the end.
func TestTheBoreTypedWhileAPhotoIsBeingRead(t *testing.T) {
	d := newDesk(t)
	d.OpenURIs([]fyne.URI{storage.NewFileURI("/p/hole-A.jpg")})
	d.Turn(2)
	d.Entry("Chamfer").SetText("0.4mm")
	e := d.Entry("Bore")
	e.SetText("1")
	d.Settle()
	e.SetText("10")
	d.Settle()
	p := d.Sheet().Holes[0].Photos[0]
	if p.Reading == nil || p.Reading.Job.BoreMM != 10 || p.Stage != worksheet.Done {
		t.Fatalf("stage %d, %q, reading %v; want it read with a bore of 10 mm", p.Stage, p.Problem, p.Reading)
	}
	if d.reader.Traced != 2 {
		t.Errorf("traced %d times, want once for 1 mm and once for 10 mm", d.reader.Traced)
	}
}

// Where +X points belongs to the picture: it comes back with it, unless somebody says
// otherwise, and a list says it itself.
func TestAPhotoOfAnotherDayBringsItsDirection(t *testing.T) {
	r := &uitest.Record{}
	open := func() *desk {
		d := newDeskOn(t, r)
		d.OpenURIs([]fyne.URI{storage.NewFileURI("/p/hole-A.jpg")})
		d.Settle()
		d.Turn(2)
		d.Entry("Bore").SetText("10mm")
		d.Settle()
		d.Turn(0)
		return d
	}
	d := open()
	first := d.Sheet().Holes[0].Photos[0]
	if first.Card.PlusX != 0 || first.AsksX {
		t.Errorf("a new photo's +X at %g, asks %v", first.Card.PlusX, first.AsksX)
	}
	d.Entry("+X in the photo, °").SetText("-157")
	d.Settle()
	d.Keep()
	d.Settle()
	d = open()
	d.says("Photo hole-A.jpg was read before, as no. 1: its +X was taken over from there.")
	p := d.Sheet().Holes[0].Photos[0]
	if want := -157 * math.Pi / 180; math.Abs(p.Card.PlusX-want) > 1e-9 || math.Abs(p.Reading.Job.PlusX-want) > 1e-9 {
		t.Errorf("+X at %g, read at %g, want %g", p.Card.PlusX, p.Reading.Job.PlusX, want)
	}
	d.Entry("+X in the photo, °").SetText("0")
	d.Settle()
	if p.Card.PlusX != 0 || p.Reading.Job.PlusX != 0 {
		t.Errorf("said to be 0: %g, read at %g", p.Card.PlusX, p.Reading.Job.PlusX)
	}
}

func TestOwnPhotosBadOnesAndTheRecord(t *testing.T) {
	d := newDesk(t)
	d.reader.Refuse("dark.jpg", model.Refuse(model.Underexposed, "The photo is too dark: give the part more light."))
	d.OpenURIs([]fyne.URI{storage.NewFileURI("/p/hole-A.jpg"), storage.NewFileURI("/p/dark.jpg")})
	d.Settle()
	d.says("Type the bore's diameter")
	d.Turn(2)
	d.Entry("Bore").SetText("10mm")
	d.Settle()
	d.Turn(0)
	d.says("give the part more light")
	if s := d.Sheet(); s.Report == nil || len(s.Report.Fit.Holes) != 1 {
		t.Fatalf("nothing worked out of the good one: %s", s.Problem)
	}
	d.Keep()
	d.Settle()
	d.says("1 reading is in the record now")
	d.AddHole()
	d.TakeKept(d.Sheet().Hole(), "1")
	d.Settle()
	if n := len(d.Sheet().Report.Fit.Holes); n != 2 {
		t.Errorf("%d holes in the fit, want 2: one from the record", n)
	}
}

func TestATurnSetOfAHoleIsKeptWithItsReadings(t *testing.T) {
	d := newDesk(t)
	turned := uitest.Bracket()
	turned.Camera.PlusX = math.Pi
	d.reader.Know("b.jpg", turned)
	list := filepath.Join(t.TempDir(), "plate.csv")
	rows := "photo,bore,chamfer,thickness,plus_x,part,hole,turn\na.jpg,10mm,0.4mm,8mm,0,7,A,0\nb.jpg,10mm,0.4mm,8mm,180,7,A,180\n"
	if err := os.WriteFile(list, []byte(rows), 0o600); err != nil {
		t.Fatal(err)
	}
	d.OpenList(list)
	d.Settle()
	for range 2 { // the second time there is nothing new
		d.Keep()
		d.Settle()
	}
	if got := d.record.Sets(); len(got) != 1 || len(got[0]) != 2 {
		t.Errorf("kept sets %v, want one of two readings", got)
	}
}

func TestSaveOpenAndReport(t *testing.T) {
	d := newDesk(t)
	d.OpenSample()
	d.Settle()
	dir := t.TempDir()
	before := d.Sheet().Report.Fit.Shift
	d.Save(filepath.Join(dir, "bracket.csv"))
	d.Settle()
	d.says("Saved: bracket.csv, bracket-walls.csv, bracket-results.csv in " + dir)
	for _, f := range []string{"bracket.csv", "bracket-walls.csv", "bracket-results.csv", "bracket-photos/hole-A.jpg"} {
		if _, err := os.Stat(filepath.Join(dir, f)); err != nil {
			t.Errorf("%v", err)
		}
		if !slices.Contains(d.FilesOf(filepath.Join(dir, "bracket.csv")), filepath.Join(dir, f)) {
			t.Errorf("%s would be replaced without a word", f)
		}
	}
	d.Report(filepath.Join(dir, "bracket.pdf"))
	d.Settle()
	if b, err := os.ReadFile(filepath.Join(dir, "bracket.pdf")); err != nil || !strings.HasPrefix(string(b), "%PDF") {
		t.Errorf("no page to print: %v", err)
	}
	for _, h := range "ABCD" { // now named by their folder
		s := uitest.Bracket()
		at := places[h-'A']
		s.Solid.Mismatch = model.Vec{X: 0.06, Y: -0.02}.Add(at.Rotate(0.0014).Sub(at))
		d.reader.Know(fmt.Sprintf("bracket-photos/hole-%c.jpg", h), s)
	}
	d.OpenList(filepath.Join(dir, "bracket.csv"))
	d.OpenList(filepath.Join(dir, "bracket-walls.csv"))
	d.Settle()
	if got := d.Sheet().Report.Fit.Shift; got.Sub(before).Norm() > 1e-6 {
		t.Errorf("shift %v after opening again, was %v", got, before)
	}
	d.OpenList(filepath.Join(dir, "nothing.csv"))
	d.says("nothing.csv cannot be read")
}

// A part of one's own is not replaced unasked: not by the sample, not by a list, not by
// another part of the list. What is saved, or as it was opened, may go.
func TestAPartNotSavedIsNotReplacedUnasked(t *testing.T) {
	d := newDesk(t)
	dir := t.TempDir()
	list := filepath.Join(dir, "two.csv")
	if err := os.WriteFile(list, []byte("photo,bore,part,hole\nx.jpg,10mm,first,A\ny.jpg,10mm,second,A\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	d.OpenSample()
	d.OpenList(list) // the sample as it came
	if d.Sheet().Name != "first" {
		t.Fatalf("on the page: %q", d.Sheet().Name)
	}
	other := []func(){d.OpenSample, func() { d.OpenList(list) }, func() { d.ChoosePart("second") },
		func() { d.OpenURIs([]fyne.URI{storage.NewFileURI(list), storage.NewFileURI("/p/hole-A.jpg")}) }}
	d.AddWall()
	d.Entry("Readings, + = setup 2 proud").SetText("0.1 0.2")
	for i, open := range other {
		open()
		d.says("Replace this part?", "not saved")
		if !d.Press("Leave it") || d.Sheet().Name != "first" || len(d.Sheet().Walls) != 1 || len(d.Sheet().Photos()) != 1 {
			t.Errorf("way %d: %q with %d walls stands there, want what was typed", i, d.Sheet().Name, len(d.Sheet().Walls))
		}
	}
	d.Save(filepath.Join(dir, "mine.csv"))
	d.Settle()
	d.ChoosePart("second")
	if d.Sheet().Name != "second" {
		t.Errorf("saved, and still in the way: %q", d.Sheet().Name)
	}
	d.AddHole()
	d.OpenSample()
	if !d.Press("Show the sample part") || d.Title() != "Guide bar bracket" {
		t.Errorf("on the page: %q, want the sample", d.Title())
	}
	d.Settle()
}

// typeOver puts text into the field that holds old, in mm or in inch, and returns what stood there.
func (d *desk) typeOver(old, text string) (was string) {
	d.t.Helper()
	for _, o := range test.LaidOutObjects(d.Content()) {
		if e, ok := o.(*kit.Entry); ok && (e.Text == old || e.Text == map[string]string{"8": "0.31496"}[old]) {
			was = e.Text
			e.SetText(text)
			return was
		}
	}
	d.t.Fatalf("no field holds %q", old)
	return ""
}

func TestEveryWordFits(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		d := newDesk(t)
		fyne.CurrentApp().Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay, Scale: scale})
		d.win.Resize(uitest.Room(scale))
		look := func(at string) {
			t.Helper()
			d.Settle()
			for _, cut := range uitest.Misfits(d.win) {
				t.Errorf("%s at %g %%: %s", at, scale*100, cut)
			}
		}
		look("an empty page")
		d.OpenSample()
		for range 2 { // in mm and in inch
			d.Turn(0)
			look("the holes")
			d.Tap(1)
			look("a hole")
			d.Tap(1)
			d.Turn(1)
			look("the walls")
			d.Tap(0)
			look("a wall")
			d.Tap(0)
			d.Turn(2)
			look("the part")
			was := d.typeOver("8", "5000")
			if words := strings.Join(d.Words(nil), "\n"); !strings.Contains(words, "The thickness must be between") {
				t.Errorf("a thickness of 5 m is taken: %s", words)
			}
			look("a thickness that can't be")
			d.typeOver("5000", was)
			for i := range 3 {
				d.TapNumber(i)
				look("where a number comes from")
				d.win.Canvas().Overlays().Top().Hide()
			}
			d.SwapUnits()
		}
	}
}

// The page fits into the smallest window with a notice in sight, too; else the window grows
// over the screen's edge.
func TestANoticeFits(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		d := newDesk(t)
		fyne.CurrentApp().Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay, Scale: scale})
		d.win.Resize(uitest.Room(scale))
		d.OpenSample()
		d.Say("No. 12 could not be opened: check that the folder can be read, and that the disk it is on is there.")
		d.Settle()
		if got, room := d.Content().MinSize(), uitest.Room(scale); got.Height > room.Height || got.Width > room.Width {
			t.Errorf("at %g %%: %v, of %v", scale*100, got, room)
		}
	}
}
