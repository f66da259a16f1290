package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// Entry is a field to type in that lets go at Escape, so that letters are commands
// again (on a sheet: closes it), and says when it gets the cursor.
type Entry struct {
	widget.Entry
	OnFocus func()
	OnHelp  func() // F1; without it the window hears of the key
}

// NewEntry returns an empty field of one line.
func NewEntry() *Entry {
	e := &Entry{}
	e.ExtendBaseWidget(e)
	return e
}

// NewLines returns an empty field of several lines.
func NewLines() *Entry {
	e := &Entry{}
	e.MultiLine, e.Wrapping = true, fyne.TextWrap(fyne.TextTruncateClip)
	e.ExtendBaseWidget(e)
	return e
}

// AcceptsTab implements fyne.Tabbable: Tab goes on to the next field, also from one of
// several lines, which the keyboard would not get out of otherwise.
func (e *Entry) AcceptsTab() bool { return false }

// FocusGained implements fyne.Focusable.
func (e *Entry) FocusGained() {
	e.Entry.FocusGained()
	if e.OnFocus != nil {
		e.OnFocus()
	}
}

// TypedKey implements fyne.Focusable.
func (e *Entry) TypedKey(k *fyne.KeyEvent) {
	switch {
	case k.Name == fyne.KeyEscape:
		escape(e)
	case k.Name == fyne.KeyF1 && e.OnHelp != nil:
		e.OnHelp()
	case k.Name == fyne.KeyF1:
		passOn(e, k)
	default:
		e.Entry.TypedKey(k)
	}
}

// CreateRenderer implements fyne.Widget.
func (e *Entry) CreateRenderer() fyne.WidgetRenderer {
	return &entryRenderer{e.Entry.CreateRenderer(), e}
}

// entryRenderer puts the words in the middle of a field that is tall enough for a finger;
// the toolkit leaves them at its top.
type entryRenderer struct {
	fyne.WidgetRenderer
	e *Entry
}

func (r *entryRenderer) Layout(s fyne.Size) {
	r.WidgetRenderer.Layout(s)
	if r.e.MultiLine {
		return
	}
	words := r.Objects()[2] // upon the ground and its edge
	if above := halfOf(s.Height - r.MinSize().Height); above > 0 {
		words.Move(words.Position().AddXY(0, above))
		words.Resize(words.Size().SubtractWidthHeight(0, above))
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
