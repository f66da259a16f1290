package kit_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// The sheet of files at every text size in the smallest window, with names as cameras
// and shops give them, in a folder far down.
func TestTheSheetOfFilesFits(t *testing.T) {
	home := filepath.Join(t.TempDir(), "shop", "second operation 2026", "crosshead brackets, batch of November, turned over X")
	if err := os.MkdirAll(filepath.Join(home, "a folder whose name says all that is in it, and then some more of it"), 0o700); err != nil {
		t.Fatal(err)
	}
	long := "crosshead bracket, second operation, hole B after the tool was changed, white paper below, 2026-11-26 14.03.jpg"
	for _, name := range []string{long, "b.jpg", strings.Repeat("IMG_20261126_", 12) + ".jpg"} {
		if err := os.WriteFile(filepath.Join(home, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, scale := range []float32{1, 1.5, 2} {
		for what, ask := range map[string]func(fyne.Window, kit.FileWish){"open": kit.AskOpen, "save": kit.AskSave, "folder": kit.AskFolder} {
			app := test.NewTempApp(t)
			app.Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay, Scale: scale})
			app.Preferences().SetString("folder", home)
			win := test.NewTempWindow(t, nil)
			win.Resize(fyne.NewSize(1024, 700))
			wish := kit.FileWish{Title: "Open a video of a chamfered hole", Name: "a report.pdf", Endings: []string{".jpg"}, FolderPref: "folder", Then: func(string) {}}
			if what == "folder" {
				wish.Files = func(dir string) []string { return []string{filepath.Join(dir, long), filepath.Join(dir, "b.jpg")} }
			}
			ask(win, wish)
			look := func(at string) {
				t.Helper()
				for _, cut := range uitest.Misfits(win) {
					t.Errorf("%s, %s at %g %%: %s", what, at, scale*100, cut)
				}
			}
			look("as it comes")
			if what == "save" {
				typed(win, long)
				press(t, win, "Save")
				look("a file that is there")
			} else {
				typed(win, "no such thing")
				press(t, win, map[string]string{"open": "Open", "folder": "Use this folder"}[what])
				look("nothing fits")
			}
			if what == "folder" {
				typed(win, "")
				press(t, win, "Use this folder")
				look("files that are there")
			}
			if what == "open" {
				typed(win, "b")
				press(t, win, "Open")
				look("several fit")
			}
			kit.Dismiss(win.Canvas())
		}
	}
}

// typed puts words into the sheet's field.
func typed(win fyne.Window, words string) {
	for _, o := range test.LaidOutObjects(win.Canvas().Overlays().Top()) {
		if e, ok := o.(*kit.Entry); ok {
			e.SetText(words)
		}
	}
}

// press presses the button of that name on the sheet.
func press(t *testing.T, win fyne.Window, name string) {
	t.Helper()
	for _, o := range test.LaidOutObjects(win.Canvas().Overlays().Top()) {
		if b, ok := o.(*kit.Button); ok && b.Text == name {
			test.Tap(b)
			return
		}
	}
	t.Fatalf("no button %q", name)
}
