package bench

import (
	"path/filepath"
	"strings"

	"evenrim/ui/kit"
	"evenrim/ui/port"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
)

// Extensions are the file name endings that the open dialog offers. Others can
// still be dropped: what counts is what's inside.
var Extensions = []string{".jpg", ".jpeg", ".png", ".tif", ".tiff", ".bmp", ".webp",
	".JPG", ".JPEG", ".PNG", ".TIF", ".TIFF", ".BMP", ".WEBP"}

const folderPref = "bench.folder"

// AskOpen asks for a photo, beginning in the folder of the last one.
func (p *Page) AskOpen() {
	kit.AskOpen(p.win, kit.FileWish{Title: "Open a photo of a chamfered hole", Endings: Extensions, FolderPref: folderPref,
		Then: func(path string) { p.OpenURIs([]fyne.URI{storage.NewFileURI(path)}) }})
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
