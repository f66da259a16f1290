package batches_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/model/record"
	"evenrim/ui/batches"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/look"
	"evenrim/ui/port"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// desk is the page in the toolkit's test driver; work is joined before anything is
// looked at.
type desk struct {
	*batches.Page
	t        *testing.T
	win      fyne.Window
	archives *uitest.Archives
	reopened string
}

func newDesk(t *testing.T, size fyne.Size, text float32) *desk {
	t.Helper()
	archives := uitest.NewArchives(t)
	d := newDeskOf(t, archives, size, text)
	d.archives = archives
	return d
}

// newDeskOn is a desk with other records.
func newDeskOn(t *testing.T, a port.Archives) *desk { t.Helper(); return newDeskOf(t, a, usual, 1) }

func newDeskOf(t *testing.T, a port.Archives, size fyne.Size, text float32) *desk {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay, Scale: text})
	d := &desk{t: t, win: test.NewTempWindow(t, nil)}
	d.Page = batches.New(d.win, batches.Deps{Archives: a, Photos: uitest.NewReader(), Version: "test", Who: "tester", Reopen: func(id string) { d.reopened = id }})
	d.win.SetContent(d.Content())
	d.win.Resize(size)
	t.Cleanup(func() { d.Page.Close(); d.Settle() })
	return d
}

func (d *desk) says(words ...string) {
	d.t.Helper()
	all := d.Words()
	for _, w := range words {
		if !strings.Contains(all, w) {
			d.t.Errorf("the page doesn't say %q; it says:\n%s", w, all)
		}
	}
}

func (d *desk) saysNot(words ...string) {
	d.t.Helper()
	all := d.Words()
	for _, w := range words {
		if strings.Contains(all, w) {
			d.t.Errorf("the page says %q and shouldn't", w)
		}
	}
}

var usual = fyne.NewSize(1280, 800)

func TestFromAnEmptyRecordToTheDemosStories(t *testing.T) {
	d := newDesk(t, usual, 1)
	d.Show()
	d.Settle()
	d.says("Your record", "Nothing has been kept yet", "demo shop")
	d.OpenDemo()
	d.Settle()
	d.says("Demo shop", "raw edge", "gauge study", "18 parts of 2 batches", "r1", "± 0.00")
	if n, _ := d.archives.OwnStore.Count(t.Context(), record.Query{}); n != 0 {
		t.Errorf("%d readings in the user's own record", n)
	}
	d.Typed('3')
	d.says("It helped", "Closer to even by", "Batch fixed after batch raw edge", "95 % probability")
	d.Typed('5')
	d.says("Add to setup 2's work offset", "or to setup 1's", "Ppk of X", "Why not to correct by the last part", "single block", "correct by the last part")
	d.Pick("drifting")
	d.Settle()
	d.Typed('4')
	d.says("drifting")
	d.State().Chart = 2
	d.Turn(ledger.Charts)
	d.says("stand out", "has drifted", "Part d")
	for _, b := range []string{"drifting", "fixed", "raw edge"} {
		d.Pick(b)
		d.Settle()
	}
	d.Typed('6')
	d.says("Tap a batch")
	d.Pick("gauge study")
	d.Settle()
	d.says("4 parts, 2 persons, 2 readings each", "of the tolerance band")
	d.OpenOwn()
	d.Settle()
	d.Typed('1')
	d.says("Your record", "Nothing has been kept yet")
}

func TestSearchAndNarrow(t *testing.T) {
	d := newDesk(t, usual, 1)
	uitest.FillShop(t, d.archives.OwnStore)
	d.Show()
	d.Settle()
	d.says("46 readings")
	d.Search(ledger.Filter{Text: "raw"})
	d.Settle()
	d.says("8 readings", "r8")
	d.saysNot("f1")
	d.Search(ledger.Filter{Tag: "milled edge"})
	d.Settle()
	d.says("10 readings")
	d.Search(ledger.Filter{Text: "xyzzy"})
	d.Settle()
	d.says("Nothing fits the search")
	d.Search(ledger.Filter{From: "soon"})
	d.Settle()
	d.says(`"soon" is no day`)
}

func TestLabelsAreWrittenBesideAReading(t *testing.T) {
	d := newDesk(t, usual, 1)
	uitest.FillShop(t, d.archives.OwnStore)
	d.Show()
	d.Settle()
	d.Choose(45) // the first kept
	d.Settle()
	d.says("No. 1, r1", "the reading itself", "Write", "On the bench")
	d.WriteNote("burr at 3 o'clock")
	d.Settle()
	d.says("Written beside 1 reading")
	_, e, err := d.archives.OwnStore.Get(t.Context(), 1)
	if err != nil || e.Note != "burr at 3 o'clock" || e.Batch != "raw edge" {
		t.Errorf("%+v, %v", e.Labels, err)
	}
}

func TestBlinkBetweenTwoPhotos(t *testing.T) {
	d := newDesk(t, usual, 1)
	d.OpenDemo()
	d.Settle()
	d.Typed('2')
	d.Settle()
	d.says("raw edge, r", "fixed, f", "Blink")
	d.Typed('b')
	if !d.Blinks() {
		t.Fatal("it doesn't blink")
	}
	d.Typed(' ') // by hand from now on
	if d.Face() != 1 {
		t.Errorf("face %d after one flip", d.Face())
	}
	d.says("fixed, part f", "±")
	d.Typed(' ')
	d.says("raw edge, part r")
	d.Typed('1')
	if d.Blinks() {
		t.Error("it blinks on after the leaf was turned")
	}
}

func TestReportExportBackupImportCheck(t *testing.T) {
	d := newDesk(t, usual, 1)
	d.OpenDemo()
	d.Settle()
	dir := t.TempDir()
	d.Report(filepath.Join(dir, "batches.pdf"))
	d.Settle()
	d.says("batches.pdf: 6 pages")
	d.Export(filepath.Join(dir, "two.zip"))
	d.Settle()
	d.says("Pick one batch")
	d.Pick("fixed")
	d.Settle()
	d.Export(filepath.Join(dir, "raw.zip"))
	d.Settle()
	d.says("8 readings exported")
	d.Backup(filepath.Join(dir, "all.zip"))
	d.Settle()
	d.says("46 readings and 46 photos")
	d.OpenOwn()
	d.Settle()
	d.Import(filepath.Join(dir, "raw.zip"))
	d.Settle()
	d.says("8 readings added")
	d.Import(filepath.Join(dir, "raw.zip"))
	d.Settle()
	d.says("0 readings added, 8 were here already")
	d.Check()
	d.Settle()
	d.says("Everything that was kept is there, whole")
	d.Restore(filepath.Join(dir, "all.zip"), filepath.Join(dir, "new"))
	d.Settle()
	d.says("46 readings and 46 photos, all verified", "--data")
	for _, f := range []string{"batches.pdf", "raw.zip", "all.zip"} {
		if info, err := os.Stat(filepath.Join(dir, f)); err != nil || info.Size() < 1000 {
			t.Errorf("%s: %v", f, err)
		}
	}
}

func TestListIsNotKept(t *testing.T) {
	d := newDesk(t, usual, 1)
	d.archives.ListNotes = []string{"x.jpg: there is no hole in it."}
	d.OpenList("/shop/march.csv")
	d.Settle()
	d.says("march.csv, not kept", "not kept", "x.jpg: there is no hole")
	if d.archives.IsGone(d.archives.DemoStore) {
		t.Error("the record that is shown was let go")
	}
	d.OpenOwn()
	d.Settle()
	if !d.archives.IsGone(d.archives.DemoStore) {
		t.Error("the list's record is held, though another is shown")
	}
}

func TestRecordThatCannotBeOpenedSaysWhy(t *testing.T) {
	d := newDesk(t, usual, 1)
	d.archives.OwnErr = errors.New("The disk is full: make room, then start again.")
	d.Show()
	d.Settle()
	d.says("The disk is full")
}

func TestDemoCanBeStopped(t *testing.T) {
	d := newDesk(t, usual, 1)
	d.archives.Hold = make(chan struct{})
	d.OpenDemo()
	d.Deliver()
	d.Stop()
	d.Settle()
	d.says("Stopped.")
}

// Labels typed beside a reading are there when one comes back to it, and Return writes them.
func TestTypedLabelsWaitUntilTheyAreWritten(t *testing.T) {
	d := newDesk(t, usual, 1)
	uitest.FillShop(t, d.archives.OwnStore)
	d.Show()
	d.Settle()
	choose := func(i int) { d.Choose(i); d.Settle() }
	choose(0)
	d.Field(0).SetText("mine")
	choose(1)
	if got := d.Field(0).Text; got == "mine" {
		t.Error("typed beside one reading, it stands beside another")
	}
	d.saysNot("not written yet")
	d.OpenDemo() // another record has other readings of the same number
	d.Settle()
	choose(0)
	d.saysNot("not written yet")
	d.OpenOwn()
	d.Settle()
	choose(0)
	d.says("Typed here before, and not written yet.")
	if got := d.Field(0).Text; got != "mine" {
		t.Errorf("the field says %q", got)
	}
	d.Field(0).TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	d.Settle()
	d.says("Written beside 1 reading")
	if _, e, err := d.archives.OwnStore.Get(t.Context(), 46); err != nil || e.Part != "mine" {
		t.Errorf("%+v, %v", e.Labels, err)
	}
}

// After labels are written, and in another record, no row stands out and each can be tapped;
// the table has the whole height.
func TestEveryRowAnswersATap(t *testing.T) {
	d := newDesk(t, usual, 1)
	uitest.FillShop(t, d.archives.OwnStore)
	d.Show()
	d.Settle()
	for range 2 {
		d.Choose(0)
		d.Settle()
		if !d.LabelsOpen() {
			t.Fatal("a tap opens no labels")
		}
		d.WriteNote("burr")
		d.Settle()
		if got, want := d.TableBottom(); got != want {
			t.Errorf("the table is %g high, of %g", got, want)
		}
	}
	d.OpenDemo()
	d.Settle()
	d.Choose(0)
	d.Settle()
	d.OpenOwn()
	d.Settle()
	if d.LabelsOpen() {
		t.Error("the labels of another record are open")
	}
	if d.Choose(0); d.State().Chosen == 0 {
		t.Error("the first row doesn't answer a tap")
	}
	d.Settle()
}

// A corrected reading is out of the way until it is asked for, and says what
// counts instead.
func TestCorrectedReadingsAreOutOfTheWay(t *testing.T) {
	d := newDesk(t, usual, 1)
	s := d.archives.OwnStore
	uitest.FillShop(t, s)
	r, e, err := s.Get(t.Context(), 46)
	if err != nil {
		t.Fatal(err)
	}
	photo, err := s.Photo(t.Context(), r.Photo.SHA256)
	if err != nil {
		t.Fatal(err)
	}
	again := *r
	again.Mismatch.X += 0.001
	if _, err := s.Correct(t.Context(), &again, photo, e.Labels, record.Correction{Of: 46, Who: "Moss", Why: "the bore was typed wrong"}); err != nil {
		t.Fatal(err)
	}
	d.Show()
	d.Settle()
	d.says("46 readings")
	d.saysNot("corrected by no.")
	d.Choose(0)
	d.Settle()
	d.says("It corrects no. 46, by Moss: the bore was typed wrong")
	d.Search(ledger.Filter{Replaced: true})
	d.Settle()
	d.says("47 readings", "corrected by no. 47")
}

// No word is cut at any text size, by day's smallest window.
func TestNoWordIsCut(t *testing.T) {
	for _, text := range []float32{1, 1.5, 2} {
		d := newDesk(t, uitest.Room(text), text)
		look := func(at string) {
			t.Helper()
			d.Settle()
			for _, w := range uitest.Misfits(d.win) {
				t.Errorf("%s at %g %%: %s", at, text*100, w)
			}
		}
		d.Show()
		look("an empty record")
		d.OpenDemo()
		for range 2 { // in mm and in inch
			for _, v := range ledger.Views {
				d.Turn(v.View)
				look(v.Name)
			}
			d.Turn(ledger.Parts)
			d.Choose(0)
			look("a reading's labels")
			d.SwapUnits()
		}
	}
}

// Columns may cut long names: where a reading is chosen they stand in full.
func TestLongNamesAreReadInFullBelowTheTable(t *testing.T) {
	long := record.Labels{Part: "crosshead bracket, second operation, left hand", Hole: "the one beside the web",
		Batch: "November, turned over X after the new jaws", Note: "burr at 3 o'clock, broken off with a stick before the photo"}
	for _, text := range []float32{1, 2} {
		d := newDesk(t, uitest.Room(text), text)
		uitest.FillShop(t, d.archives.OwnStore)
		if err := d.archives.OwnStore.Label(t.Context(), 46, "Wren", long); err != nil {
			t.Fatal(err)
		}
		d.Show()
		d.Settle()
		d.Choose(0)
		d.Settle()
		d.says("No. 46, "+long.Part+" · "+long.Hole+", batch "+long.Batch, "note “"+long.Note+"”")
		for _, cut := range uitest.Misfits(d.win) {
			if !strings.Contains(cut, "shortened") {
				t.Errorf("at %g %%: %s", text*100, cut)
			}
		}
	}
}

// The page fits into the smallest window with a notice in sight, too; else the window grows
// over the screen's edge.
func TestANoticeFits(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		d := newDesk(t, uitest.Room(scale), scale)
		d.Show()
		d.Say("No. 12 could not be opened: check that the folder can be read, and that the disk it is on is there.")
		d.Settle()
		if got, room := d.Content().MinSize(), uitest.Room(scale); got.Height > room.Height || got.Width > room.Width {
			t.Errorf("at %g %%: %v, of %v", scale*100, got, room)
		}
	}
}
