package bench

import (
	"path/filepath"
	"strings"

	"evenrim/ui/port"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
)

// Extensions are the file name endings that the open dialog offers. Others can
// still be dropped: what counts is what's inside.
var Extensions = []string{".jpg", ".jpeg", ".png", ".tif", ".tiff", ".bmp", ".webp",
	".JPG", ".JPEG", ".PNG", ".TIF", ".TIFF", ".BMP", ".WEBP"}

const folderPref = "bench.folder"

// AskOpen asks for a photo, beginning in the folder of the last one.
func (p *Page) AskOpen() {
	d := dialog.NewFileOpen(func(f fyne.URIReadCloser, err error) {
		if err != nil {
			dialog.ShowInformation("Open a photo", "That file could not be opened: "+err.Error(), p.win)
			return
		}
		if f == nil {
			return // thought better of it
		}
		uri := f.URI()
		f.Close() // only its place is wanted
		p.OpenURIs([]fyne.URI{uri})
	}, p.win)
	d.SetTitleText("Open a photo of a chamfered hole")
	d.SetFilter(storage.NewExtensionFileFilter(Extensions))
	if dir := fyne.CurrentApp().Preferences().String(folderPref); dir != "" {
		if l, err := storage.ListerForURI(storage.NewFileURI(dir)); err == nil {
			d.SetLocation(l)
		}
	}
	size := p.win.Canvas().Size()
	d.Resize(fyne.NewSize(size.Width*0.8, size.Height*0.8))
	d.Show()
}

// OpenURIs opens photos from a dialog, a drop or the command line.
func (p *Page) OpenURIs(uris []fyne.URI) {
	var sources []port.Source
	for _, u := range uris {
		if u == nil || u.Scheme() != "file" {
			continue
		}
		path := filepath.FromSlash(strings.TrimPrefix(u.Path(), "//"))
		sources = append(sources, port.Source{Path: path})
		fyne.CurrentApp().Preferences().SetString(folderPref, filepath.Dir(path))
	}
	p.Open(sources...)
}
