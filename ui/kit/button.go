package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// Button is the toolkit's button that closes its sheet at Escape or lets go, is pressed by
// Return as well, and hands on the keys it has no use for.
type Button struct {
	widget.Button
	OnKey func(fyne.KeyName) // nil = the window hears of them
}

// NewButton returns a button.
func NewButton(words string, tap func()) *Button {
	b := &Button{}
	b.Text, b.OnTapped = words, tap
	b.ExtendBaseWidget(b)
	return b
}

// NewButtonWithIcon returns a button with a sign before its words.
func NewButtonWithIcon(words string, icon fyne.Resource, tap func()) *Button {
	b := NewButton(words, tap)
	b.SetIcon(icon)
	return b
}

// TypedKey implements fyne.Focusable.
func (b *Button) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyEscape:
		escape(b)
	case fyne.KeyReturn, fyne.KeyEnter:
		if b.OnTapped != nil && !b.Disabled() {
			b.OnTapped()
		}
	case fyne.KeySpace:
		b.Button.TypedKey(k)
	default:
		if b.OnKey != nil {
			b.OnKey(k.Name)
		} else {
			passOn(b, k)
		}
	}
}

// TypedRune implements fyne.Focusable.
func (b *Button) TypedRune(r rune) { HandOnLetter(b, r) }
