package kit

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
)

// Sheet lies over a window until it is answered or dismissed.
type Sheet struct {
	win     fyne.Window
	over    fyne.CanvasObject
	dialog  *dialog.CustomDialog
	onClose func()
}

// sheets are those in view, the last on top.
var sheets []*Sheet

// touch is the least height of what a finger has to hit.
const touch = 44

// ShowSheet lays content under a title over a window, with its buttons below; the last
// of them has the focus.
func ShowSheet(win fyne.Window, title string, content fyne.CanvasObject, size fyne.Size, buttons ...*Button) *Sheet {
	s := &Sheet{win: win, dialog: dialog.NewCustomWithoutButtons(title, content, win)}
	var row []fyne.CanvasObject
	for _, b := range buttons {
		row = append(row, Tall(b, 130, touch))
	}
	s.dialog.SetButtons(row)
	s.dialog.SetOnClosed(func() {
		sheets = slices.DeleteFunc(sheets, func(o *Sheet) bool { return o == s })
		if s.onClose != nil {
			s.onClose()
		}
	})
	s.dialog.Resize(size)
	s.dialog.Show()
	s.over = win.Canvas().Overlays().Top()
	sheets = append(sheets, s)
	if n := len(buttons); n > 0 {
		win.Canvas().Focus(buttons[n-1])
	}
	return s
}

// OnClosed is called once the sheet is gone, whichever way.
func (s *Sheet) OnClosed(f func()) { s.onClose = f }

// Resize changes the sheet's size.
func (s *Sheet) Resize(size fyne.Size) { s.dialog.Resize(size) }

// Hide takes the sheet away.
func (s *Sheet) Hide() { s.dialog.Hide() }

// Read lays something to read over a window, as high as it needs if there is room; the
// arrows and the page keys turn it.
func Read(win fyne.Window, title string, content fyne.CanvasObject, width float32) *Sheet {
	scroll := container.NewVScroll(content)
	var s *Sheet
	shut := NewButton("Close", func() { s.Hide() })
	shut.OnKey = func(k fyne.KeyName) { turnBy(scroll, k) }
	room := win.Canvas().Size()
	fit := func() fyne.Size {
		return fyne.NewSize(min(width, room.Width*0.92), min(content.MinSize().Height+160, room.Height*0.86))
	}
	s = ShowSheet(win, title, scroll, fit(), shut)
	s.Resize(fit()) // wrapped text tells its height only once it has its width
	return s
}

// turnBy moves a scroller by a key.
func turnBy(s *container.Scroll, k fyne.KeyName) {
	by := map[fyne.KeyName]float32{fyne.KeyDown: 40, fyne.KeyUp: -40,
		fyne.KeyPageDown: s.Size().Height * 0.9, fyne.KeyPageUp: -s.Size().Height * 0.9, fyne.KeyEnd: 1e6, fyne.KeyHome: -1e6}[k]
	if by != 0 {
		s.ScrollToOffset(fyne.NewPos(s.Offset.X, min(max(s.Offset.Y+by, 0), max(s.Content.MinSize().Height-s.Size().Height, 0))))
	}
}

// Tell says something that has to be known.
func Tell(win fyne.Window, title, words string) {
	var s *Sheet
	s = ShowSheet(win, title, NewProse(words, 1, Ink), tellSize(win, words), NewButton("Close", func() { s.Hide() }))
}

// Confirm asks before something is done that can't be taken back; whoever presses Return
// or Escape at once leaves it.
func Confirm(win fyne.Window, title, words, do string, then func()) {
	var s *Sheet
	s = ShowSheet(win, title, NewProse(words, 1, Ink), tellSize(win, words),
		NewButton(do, func() { s.Hide(); then() }), NewButton("Leave it", func() { s.Hide() }))
}

// tellSize is a sheet's size for a few sentences.
func tellSize(win fyne.Window, words string) fyne.Size {
	p := NewProse(words, 1, Ink)
	line := p.Measure("M").Height
	width := min(24*line, win.Canvas().Size().Width*0.9)
	n := len(Wrap(words, width-2*line, func(s string) float32 { return p.Measure(s).Width }))
	return fyne.NewSize(width, min(float32(n+2)*line+4*line+touch, win.Canvas().Size().Height*0.9))
}
