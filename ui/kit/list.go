package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// List is the toolkit's list that hands on the keys it has no use for: once it has been
// tapped it has the focus, and would swallow them.
type List struct{ widget.List }

// NewList returns a list of n() rows, made by row and filled by fill.
func NewList(n func() int, row func() fyne.CanvasObject, fill func(i int, o fyne.CanvasObject)) *List {
	l := &List{}
	l.Length, l.CreateItem = n, row
	l.UpdateItem = func(i widget.ListItemID, o fyne.CanvasObject) { fill(i, o) }
	l.ExtendBaseWidget(l)
	return l
}

// TypedKey implements fyne.Focusable.
func (l *List) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		l.List.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	case fyne.KeySpace, fyne.KeyUp, fyne.KeyDown:
		l.List.TypedKey(k)
	default:
		HandOn(l, k)
	}
}

// TypedRune implements fyne.Focusable.
func (l *List) TypedRune(r rune) { HandOnLetter(l, r) }
