package kit

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// FileWish is what a person is asked for in a sheet of files.
type FileWish struct {
	Title   string
	Name    string   // proposed for a file to be written
	Endings []string // offered, such as ".csv", in small or capital letters; none = all. A file saved gets the first unless it has one
	// FolderPref is the preference with the folder to begin in; "" = none.
	FolderPref string
	// Files are all that is written for an answer; nil = the answer alone, or for a folder
	// nothing that may be there.
	Files func(path string) []string
	Then  func(path string) // takes the answer; not called without one
}

// AskOpen asks for a file to open.
func AskOpen(win fyne.Window, w FileWish) { askFiles(win, w, openFile) }

// AskSave asks where to write a file; Then gets its path as it is to be written, ending
// and all. What is there already is replaced only when that has been said and Save is
// pressed again.
func AskSave(win fyne.Window, w FileWish) { askFiles(win, w, saveFile) }

// AskFolder asks for a folder, and about the wish's Files in it as AskSave does.
func AskFolder(win fyne.Window, w FileWish) { askFiles(win, w, pickFolder) }

type fileKind int

const (
	openFile fileKind = iota
	saveFile
	pickFolder
)

// button is what stands on the button that takes the answer.
func (k fileKind) button() string {
	return map[fileKind]string{openFile: "Open", saveFile: "Save", pickFolder: "Use this folder"}[k]
}

// chooser is the sheet of files: where one is, what lies there, and a field for a name.
// The toolkit's own can't be closed by a key once its field or a button has the focus.
type chooser struct {
	win     fyne.Window
	wish    FileWish
	kind    fileKind
	dir     string
	all     []fileRow // in the folder
	rows    []fileRow // of them those that fit what is typed
	path    *Prose
	list    *List
	body    *fyne.Container // all that scrolls or is typed in
	high    map[int]float32 // rows whose names take more than a line
	name    *Entry
	problem *Prose
	replace string // the answer that would replace files, once that has been said
	sheet   *Sheet
}

type fileRow struct {
	name   string
	folder bool
}

// asking are the sheets of files in view, one a window at most: a key pressed twice must
// not lay two over each other.
var asking = map[fyne.Window]*chooser{}

func askFiles(win fyne.Window, w FileWish, kind fileKind) {
	if asking[win] != nil {
		return
	}
	c := &chooser{win: win, wish: w, kind: kind, path: NewProse("", 0.95, Soft), problem: NewProse("", 0.95, Setup1), name: NewEntry()}
	asking[win] = c
	c.problem.Hide()
	c.list = NewList(func() int { return len(c.rows) }, newFileRow, c.fill)
	c.high = map[int]float32{}
	c.list.OnSelected = func(i int) {
		c.list.UnselectAll()
		if i < len(c.rows) {
			c.tapped(c.rows[i])
		}
	}
	c.name.SetPlaceHolder("type to find, or a whole path")
	if kind == saveFile {
		c.name.SetPlaceHolder("name of the file")
	}
	c.name.OnChanged = func(string) { c.narrow() }
	c.name.OnSubmitted = func(string) { c.take() }
	up := NewButton("Folder above", func() { c.enter(filepath.Dir(c.dir)) })
	home := NewButton("Home", func() {
		if dir, err := os.UserHomeDir(); err == nil {
			c.enter(dir)
		}
	})
	top := Column(8, Tall(c.name, 0, touch), Beside(8, 200, c.path, Row(6, -1, Tall(home, 0, touch), Tall(up, 0, touch))), c.problem)
	size := win.Canvas().Size()
	ok := NewButton(kind.button(), c.take)
	ok.Importance = widget.HighImportance
	c.body = container.NewBorder(top, nil, nil, nil, c.list)
	c.sheet = ShowSheet(win, w.Title, c.body,
		fyne.NewSize(min(size.Width*0.9, 900*look.Zoom()), size.Height*0.88), NewButton("Cancel", func() { c.sheet.Hide() }), ok)
	c.sheet.OnClosed(func() { delete(asking, win) })
	if kind == saveFile {
		c.name.SetText(w.Name)
		c.name.TypedShortcut(&fyne.ShortcutSelectAll{})
	}
	c.enter(c.begin())
	win.Canvas().Focus(c.name)
}

// begin is the folder to begin in: that of the last time, the current one, or home.
func (c *chooser) begin() string {
	if c.wish.FolderPref != "" {
		if dir := fyne.CurrentApp().Preferences().String(c.wish.FolderPref); isFolder(dir) {
			return dir
		}
	}
	if dir, err := os.UserHomeDir(); err == nil && isFolder(dir) {
		return dir
	}
	return string(filepath.Separator)
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return path != "" && err == nil && info.IsDir()
}

// enter shows another folder.
func (c *chooser) enter(dir string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		c.say("This folder cannot be opened: " + err.Error())
		return
	}
	c.dir, c.all = dir, nil
	for _, e := range entries {
		folder := e.IsDir() || e.Type()&os.ModeSymlink != 0 && isFolder(filepath.Join(dir, e.Name()))
		if strings.HasPrefix(e.Name(), ".") || !folder && !c.offered(e.Name()) {
			continue
		}
		c.all = append(c.all, fileRow{e.Name(), folder})
	}
	slices.SortStableFunc(c.all, func(a, b fileRow) int {
		if a.folder != b.folder {
			return map[bool]int{true: -1, false: 1}[a.folder]
		}
		return cmp.Compare(strings.ToLower(a.name), strings.ToLower(b.name))
	})
	c.path.Set(dir)
	if c.kind != saveFile {
		c.name.SetText("")
	}
	c.narrow()
	c.list.ScrollToTop()
}

// offered says whether a file's ending is among those wished for.
func (c *chooser) offered(name string) bool {
	if c.kind == pickFolder {
		return false
	}
	return len(c.wish.Endings) == 0 || slices.ContainsFunc(c.wish.Endings, func(e string) bool { return strings.EqualFold(e, filepath.Ext(name)) })
}

// narrow leaves the rows that fit what is typed, when something is looked for.
func (c *chooser) narrow() {
	c.say("")
	c.replace = ""
	c.rows = c.all
	if typed := strings.ToLower(c.name.Text); c.kind != saveFile && typed != "" && !strings.ContainsRune(typed, filepath.Separator) {
		c.rows = nil
		for _, r := range c.all {
			if strings.Contains(strings.ToLower(r.name), typed) {
				c.rows = append(c.rows, r)
			}
		}
	}
	c.heighten()
	c.list.Refresh()
}

// heighten gives each row the lines that its whole name takes: names of files differ at
// their ends as often as not.
func (c *chooser) heighten() {
	if c.list.Size().Width == 0 { // not laid out yet
		return
	}
	row := newFileRow()
	least := row.MinSize().Height
	row.Resize(fyne.NewSize(c.list.Size().Width, least))
	_, name := partsOf(row)
	for i, r := range c.rows {
		h, was := least, least
		if v, ok := c.high[i]; ok {
			was = v
		}
		if name.Measure(r.name).Width > name.Size().Width {
			name.Set(r.name)
			h = max(least, name.MinSize().Height+10)
		}
		if h != was {
			c.high[i] = h
			c.list.SetItemHeight(i, h)
		}
	}
}

func (c *chooser) say(words string) {
	c.problem.Set(words)
	if words == "" {
		c.problem.Hide()
	} else {
		c.problem.Show()
	}
	c.body.Refresh()
}

// tapped opens a folder, takes a file, or takes the name of one to be replaced.
func (c *chooser) tapped(r fileRow) {
	path := filepath.Join(c.dir, r.name)
	switch {
	case r.folder:
		c.enter(path)
	case c.kind == saveFile:
		c.name.SetText(r.name)
		c.win.Canvas().Focus(c.name)
	default:
		c.done(path)
	}
}

// take is Return in the field, or the button.
func (c *chooser) take() {
	typed := strings.TrimSpace(c.name.Text)
	path := typed
	if !filepath.IsAbs(path) {
		path = filepath.Join(c.dir, typed)
	}
	switch {
	case typed == "" && c.kind == pickFolder && c.wish.Files != nil:
		c.write(c.dir)
	case typed == "" && c.kind == pickFolder:
		c.done(c.dir)
	case typed == "":
		c.say(map[fileKind]string{openFile: "Tap a file, or type its name.", saveFile: "Type a name for the file."}[c.kind])
	case isFolder(path):
		c.enter(path)
	case c.kind == saveFile:
		c.save(path)
	case c.kind == openFile && exists(path):
		c.done(path)
	case len(c.rows) == 1:
		c.tapped(c.rows[0])
	case len(c.rows) > 1:
		c.say("Several fit: tap one, or type more of its name.")
	default:
		c.say("There is nothing of that name here.")
	}
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

func (c *chooser) save(path string) {
	if !c.offered(path) {
		path += c.wish.Endings[0]
	}
	if !isFolder(filepath.Dir(path)) {
		c.say("There is no such folder: " + filepath.Dir(path))
		return
	}
	c.write(path)
}

// write takes an answer that files are written for, once it has been said which of them
// are there already.
func (c *chooser) write(path string) {
	files := []string{path}
	if c.wish.Files != nil {
		files = c.wish.Files(path)
	}
	there := slices.DeleteFunc(files, func(f string) bool { return !exists(f) })
	switch {
	case len(there) == 0 || c.replace == path:
		c.done(path)
	case len(there) == 1 && there[0] == path:
		c.replace = path
		c.say("There is a file of that name. Press " + c.kind.button() + " again to replace it.")
	default:
		c.replace = path
		c.say("There already: " + someNames(there) + ". Press " + c.kind.button() + " again to replace " + map[bool]string{true: "it", false: "them"}[len(there) == 1] + ".")
	}
}

// someNames lists files without their folders, the first few by name.
func someNames(paths []string) string {
	var names []string
	for _, path := range paths[:min(len(paths), 5)] {
		names = append(names, filepath.Base(path))
	}
	if n := len(paths) - len(names); n > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(names, ", "), n)
	}
	return strings.Join(names, ", ")
}

func (c *chooser) done(path string) {
	if c.wish.FolderPref != "" {
		fyne.CurrentApp().Preferences().SetString(c.wish.FolderPref, c.dir)
	}
	c.sheet.Hide()
	c.wish.Then(path)
}

// newFileRow is a row of the list, which recycles them: its parts are found by place.
func newFileRow() fyne.CanvasObject {
	return Tall(Row(10, 1, NewSign(look.IconOpen, 1.4), NewProse("", 1, Ink)), 0, touch)
}

func (c *chooser) fill(i int, o fyne.CanvasObject) {
	icon := look.IconSample
	if c.rows[i].folder {
		icon = look.IconOpen
	}
	sign, name := partsOf(o)
	sign.Set(icon)
	name.Set(c.rows[i].name)
	o.Refresh() // a name of other lines lies at another height
}

func partsOf(row fyne.CanvasObject) (*Sign, *Prose) {
	o := row.(*fyne.Container).Objects[0].(*fyne.Container).Objects
	return o[0].(*Sign), o[1].(*Prose)
}
