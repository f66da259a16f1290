package kit

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// folder has a folder with two photos in it, a photo, a text and a hidden file.
func folder(t *testing.T) string {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "shift 2"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"b.JPG", "a note.txt", ".hidden.jpg", "shift 2/one.jpg", "shift 2/two.jpg"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// asked shows a sheet of files that begins in dir, and says what was answered.
func asked(t *testing.T, dir string, ask func(fyne.Window, FileWish)) (c *chooser, answers *[]string) {
	test.NewTempApp(t)
	win := test.NewTempWindow(t, nil)
	win.Resize(fyne.NewSize(900, 700))
	fyne.CurrentApp().Preferences().SetString("folder", dir)
	answers = &[]string{}
	ask(win, FileWish{Title: "T", Name: "sheet.pdf", Endings: []string{".jpg", ".pdf"}, FolderPref: "folder",
		Then: func(path string) { *answers = append(*answers, path) }})
	return asking[win], answers
}

func names(c *chooser) (out []string) {
	for _, r := range c.rows {
		out = append(out, r.name)
	}
	return out
}

func TestAFileIsFoundByTyping(t *testing.T) {
	dir := folder(t)
	c, answers := asked(t, dir, AskOpen)
	if got := names(c); !slices.Equal(got, []string{"shift 2", "b.JPG"}) {
		t.Fatalf("shows %q, want the folder, then the photo", got)
	}
	c.name.SetText("shi")
	c.name.OnSubmitted("")
	if got := names(c); !slices.Equal(got, []string{"one.jpg", "two.jpg"}) {
		t.Fatalf("in the folder: %q", got)
	}
	c.name.SetText(".jpg")
	c.name.OnSubmitted("")
	if len(*answers) > 0 || c.problem.Text == "" {
		t.Fatalf("two fit, and %q was taken", *answers)
	}
	c.name.SetText("tw")
	c.name.OnSubmitted("")
	if want := filepath.Join(dir, "shift 2", "two.jpg"); !slices.Equal(*answers, []string{want}) {
		t.Errorf("took %q, want %s", *answers, want)
	}
	if got := fyne.CurrentApp().Preferences().String("folder"); got != filepath.Join(dir, "shift 2") {
		t.Errorf("begins in %s next time", got)
	}
}

func TestAWholePathIsTaken(t *testing.T) {
	dir := folder(t)
	c, answers := asked(t, t.TempDir(), AskOpen)
	c.name.SetText(filepath.Join(dir, "a note.txt"))
	c.name.OnSubmitted("")
	if !slices.Equal(*answers, []string{filepath.Join(dir, "a note.txt")}) {
		t.Errorf("took %q", *answers)
	}
}

// What is there is replaced only when Save is pressed again, and never touched by the
// sheet itself.
func TestSavingAsksBeforeItReplaces(t *testing.T) {
	dir := folder(t)
	c, answers := asked(t, dir, AskSave)
	c.name.SetText("b.JPG")
	c.take()
	if len(*answers) > 0 {
		t.Fatalf("took %q at once", *answers)
	}
	c.name.SetText("b")
	c.name.SetText("b.JPG")
	c.take()
	if len(*answers) > 0 {
		t.Fatal("another name was typed between, and yet it was taken")
	}
	c.take()
	if !slices.Equal(*answers, []string{filepath.Join(dir, "b.JPG")}) {
		t.Errorf("took %q", *answers)
	}
	if data, err := os.ReadFile(filepath.Join(dir, "b.JPG")); err != nil || string(data) != "x" {
		t.Errorf("the file holds %q, %v", data, err)
	}
	c, answers = asked(t, dir, AskSave)
	c.name.SetText("report")
	c.take()
	if !slices.Equal(*answers, []string{filepath.Join(dir, "report.jpg")}) {
		t.Errorf("without an ending: %q", *answers)
	}
	c, answers = asked(t, dir, AskSave)
	c.name.SetText("part.2")
	c.take()
	if !slices.Equal(*answers, []string{filepath.Join(dir, "part.2.jpg")}) {
		t.Errorf("with another ending: %q", *answers)
	}
	c, answers = asked(t, dir, AskSave)
	c.name.SetText("no such/report.pdf")
	c.take()
	if len(*answers) > 0 || c.problem.Text == "" {
		t.Errorf("a folder that isn't there: took %q, says %q", *answers, c.problem.Text)
	}
}

func TestAFolderIsPicked(t *testing.T) {
	dir := folder(t)
	c, answers := asked(t, dir, AskFolder)
	if got := names(c); !slices.Equal(got, []string{"shift 2"}) {
		t.Errorf("offers %q", got)
	}
	c.tapped(c.rows[0])
	c.take()
	if !slices.Equal(*answers, []string{filepath.Join(dir, "shift 2")}) {
		t.Errorf("took %q", *answers)
	}
}

// Whatever is written for an answer is asked about, the file that is named and others.
func TestSavingAsksAboutAllFiles(t *testing.T) {
	for name, ask := range map[string]func(fyne.Window, FileWish){"Save": AskSave, "Use this folder": AskFolder} {
		dir := folder(t)
		c, answers := asked(t, dir, ask)
		c.wish.Files = func(path string) []string {
			return []string{path + "-new", filepath.Join(dir, "b.JPG"), filepath.Join(dir, "a note.txt")}
		}
		if name == "Save" {
			c.name.SetText("new.jpg")
		}
		c.take()
		if want := "There already: b.JPG, a note.txt. Press " + name + " again to replace them."; len(*answers) > 0 || c.problem.Text != want {
			t.Errorf("took %q and says %q, want %q", *answers, c.problem.Text, want)
		}
		if c.take(); len(*answers) != 1 {
			t.Errorf("pressed again, took %q", *answers)
		}
	}
}
