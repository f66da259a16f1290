package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// Entry is a field to type in that lets go at Escape, so that letters are commands
// again, and says when it gets the cursor.
type Entry struct {
	widget.Entry
	OnFocus func()
}

// NewEntry returns an empty field of one line.
func NewEntry() *Entry {
	e := &Entry{}
	e.ExtendBaseWidget(e)
	return e
}

// FocusGained implements fyne.Focusable.
func (e *Entry) FocusGained() {
	e.Entry.FocusGained()
	if e.OnFocus != nil {
		e.OnFocus()
	}
}

// TypedKey implements fyne.Focusable.
func (e *Entry) TypedKey(k *fyne.KeyEvent) {
	if k.Name != fyne.KeyEscape {
		e.Entry.TypedKey(k)
		return
	}
	letGo(e)
}

// letGo takes the focus from an object.
func letGo(o fyne.CanvasObject) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil {
		c.Unfocus()
	}
}

// BringIntoView scrolls until o, somewhere inside s, is seen whole.
func BringIntoView(s *container.Scroll, o fyne.CanvasObject) {
	d := fyne.CurrentApp().Driver()
	above := d.AbsolutePositionForObject(o).Y - d.AbsolutePositionForObject(s).Y
	below := above + o.Size().Height - s.Size().Height
	to := s.Offset
	switch {
	case above < 0:
		to.Y += above
	case below > 0:
		to.Y += below
	default:
		return
	}
	s.ScrollToOffset(to)
}
