package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"evenrim/model/record"
)

// The two ways a photo of one's own comes into the real window besides its name:
// dropped from another program, and picked in the dialog; and the way out, the
// report's dialog. What is kept, and what is written, tells whether they work.
func TestPhotosDroppedAndPickedOnAScreen(t *testing.T) {
	photos := filepath.Join("..", "..", "testdata", "photos")
	hand := &hand{openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 3*time.Minute, "--bore", "10mm", "--chamfer", "0.25mm")}
	picked := filepath.Join(hand.home, "a picked one.jpg")
	copyFile(t, filepath.Join(photos, "dome-bracket.jpg"), picked)
	hand.waitForWindow()

	// A name with a space and a letter outside of ASCII, as phones and people give them.
	dropped := filepath.Join(t.TempDir(), "Stützbock 1.jpg")
	copyFile(t, filepath.Join(photos, "valve-rod-bracket-000.jpg"), dropped)
	dropFiles(hand.onScreen, dropped)
	hand.kept("the photo dropped", func(e record.Entry) bool { return e.PhotoName == filepath.Base(dropped) })

	// A dialog that is not wanted goes by Escape, and comes again when asked for.
	hand.do("key", "ctrl+o")
	time.Sleep(time.Second)
	hand.do("key", "Escape")
	time.Sleep(500 * time.Millisecond)

	// The sheet begins in the folder of the last photo: from there it is taken home by the
	// folder's path, and the photo found by a part of its name.
	hand.do("key", "ctrl+o")
	time.Sleep(time.Second)
	hand.do("type", "--delay", "40", hand.home)
	hand.do("key", "Return")
	time.Sleep(time.Second)
	hand.do("type", "--delay", "40", "picked")
	hand.do("key", "Return")
	hand.kept("the photo picked", func(e record.Entry) bool { return e.PhotoName == filepath.Base(picked) })

	// The cursor waits in the name of the file to be written: Escape closes the sheet from
	// there and from a button. Were it still there, the key for the report would do nothing,
	// and what is typed go behind the name.
	for _, keys := range [][]string{{"Escape"}, {"Tab", "Escape"}, {"Tab", "Tab", "Tab", "Escape"}} {
		hand.do("key", "ctrl+p")
		time.Sleep(time.Second)
		hand.do(append([]string{"key"}, keys...)...)
		time.Sleep(500 * time.Millisecond)
	}
	hand.do("key", "ctrl+p")
	time.Sleep(time.Second)
	hand.do("key", "ctrl+a")
	hand.do("type", "--delay", "40", "sheet.pdf")
	hand.do("key", "Return")
	var sheet []byte
	hand.wait("the report", func() bool {
		sheet, _ = os.ReadFile(filepath.Join(hand.home, "sheet.pdf"))
		return len(sheet) > 0
	})
	if !bytes.HasPrefix(sheet, []byte("%PDF-")) || !bytes.Contains(sheet, []byte("%%EOF")) {
		t.Errorf("the report begins with %.20q: no whole PDF", sheet)
	}
}

func copyFile(t testing.TB, from, to string) {
	t.Helper()
	data, err := os.ReadFile(from)
	if err == nil {
		err = os.WriteFile(to, data, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}
