package kit

import (
	"os"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
)

// FileWish is what a person is asked for in a dialog of files.
type FileWish struct {
	Title   string
	Name    string   // proposed for a file to be written
	Endings []string // offered, such as ".csv"; none = all
	// FolderPref is the preference with the folder to begin in; "" = none.
	FolderPref string
	Fail       func(error)       // is told what the system said
	Then       func(path string) // takes the answer; not called without one
}

// AskOpen asks for a file to open.
func AskOpen(win fyne.Window, w FileWish) {
	showFiles(win, dialog.NewFileOpen(func(f fyne.URIReadCloser, err error) {
		if w.answered(f == nil, err) {
			path := filepath.FromSlash(f.URI().Path())
			f.Close() // only its place is wanted
			w.Then(path)
		}
	}, win), w)
}

// AskSave asks where to write a file. The dialog makes it, empty, which is undone:
// what is written is moved there whole.
func AskSave(win fyne.Window, w FileWish) {
	showFiles(win, dialog.NewFileSave(func(f fyne.URIWriteCloser, err error) {
		if w.answered(f == nil, err) {
			path := filepath.FromSlash(f.URI().Path())
			f.Close()
			if info, err := os.Stat(path); err == nil && info.Size() == 0 {
				os.Remove(path)
			}
			w.Then(path)
		}
	}, win), w)
}

// AskFolder asks for a folder.
func AskFolder(win fyne.Window, w FileWish) {
	showFiles(win, dialog.NewFolderOpen(func(dir fyne.ListableURI, err error) {
		if w.answered(dir == nil, err) {
			w.Then(filepath.FromSlash(dir.Path()))
		}
	}, win), w)
}

// answered is false for who thought better of it.
func (w FileWish) answered(none bool, err error) bool {
	if err != nil {
		w.Fail(err)
	}
	return err == nil && !none
}

// asking are the dialogs of files in view, one a window at most: a key pressed twice
// must not lay two over each other.
var asking = map[fyne.Window]*dialog.FileDialog{}

// DismissFiles closes the dialog of files that lies over a window, if there is one.
func DismissFiles(win fyne.Window) bool {
	d := asking[win]
	if d != nil {
		d.Dismiss()
	}
	return d != nil
}

func showFiles(win fyne.Window, d *dialog.FileDialog, w FileWish) {
	if asking[win] != nil {
		return
	}
	asking[win] = d
	d.SetOnClosed(func() { delete(asking, win) })
	d.SetView(dialog.ListView) // photos' names are long, and alike in front
	d.SetTitleText(w.Title)
	if w.Name != "" {
		d.SetFileName(w.Name)
	}
	if len(w.Endings) > 0 {
		d.SetFilter(storage.NewExtensionFileFilter(w.Endings))
	}
	if w.FolderPref != "" {
		if dir := fyne.CurrentApp().Preferences().String(w.FolderPref); dir != "" {
			if l, err := storage.ListerForURI(storage.NewFileURI(dir)); err == nil {
				d.SetLocation(l)
			}
		}
	}
	size := win.Canvas().Size()
	d.Resize(fyne.NewSize(size.Width*0.8, size.Height*0.8))
	d.Show()
}
