package uitest

import (
	"fmt"

	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
)

// DeadKeys goes by Tab through all that can have the focus in a window and says what of it
// keeps a letter, F1 or another key from the page, does not let go at Escape, or is not
// pressed by Return. Nothing is really pressed.
func DeadKeys(win fyne.Window, letter rune, others ...fyne.KeyName) []string {
	c := win.Canvas()
	letters, keys := c.OnTypedRune(), c.OnTypedKey()
	defer func() {
		c.SetOnTypedRune(letters)
		c.SetOnTypedKey(keys)
		c.Unfocus()
	}()
	k := &keyboard{c: c, seen: map[fyne.Focusable]bool{}}
	c.SetOnTypedRune(func(r rune) { k.letters += string(r) })
	c.SetOnTypedKey(func(e *fyne.KeyEvent) { k.keys = append(k.keys, e.Name) })
	c.Unfocus()
	for c.FocusNext(); c.Focused() != nil && !k.seen[c.Focused()]; c.FocusNext() {
		o := c.Focused()
		k.seen[o] = true
		k.tries(o, letter, append([]fyne.KeyName{fyne.KeyF1}, others...))
		o.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
		if c.Focused() != nil {
			k.say(o, "Escape does not let go")
		}
		c.Focus(o) // from where Tab goes on
	}
	if len(k.seen) == 0 {
		k.out = append(k.out, "nothing takes the focus")
	}
	return k.out
}

type keyboard struct {
	c       fyne.Canvas
	seen    map[fyne.Focusable]bool
	letters string
	keys    []fyne.KeyName
	out     []string
}

func (k *keyboard) say(o fyne.Focusable, what string) {
	k.out = append(k.out, fmt.Sprintf("%T %q: %s", o, wordsOf(o.(fyne.CanvasObject)), what))
}

// tries types all but Escape to what has the focus. Fields keep what is typed.
func (k *keyboard) tries(o fyne.Focusable, letter rune, others []fyne.KeyName) {
	pressed := 0
	press := func() { pressed++ }
	switch w := o.(type) {
	case *kit.Entry:
		return
	case *kit.Button:
		defer func(f func()) { w.OnTapped = f }(w.OnTapped)
		w.OnTapped = press
	case *kit.Tap:
		defer func(tap, help func()) { w.OnTap, w.OnHelp = tap, help }(w.OnTap, w.OnHelp)
		w.OnTap, w.OnHelp = press, nil
	case *kit.Check:
		defer func(f func(bool), on bool) {
			w.OnChanged = nil
			w.SetChecked(on)
			w.OnChanged = f
		}(w.OnChanged, w.Checked)
		w.OnChanged = func(bool) { press() }
	}
	k.letters = ""
	if o.TypedRune(letter); k.letters != string(letter) {
		k.say(o, fmt.Sprintf("the page does not hear %q", letter))
	}
	for _, name := range others {
		if !k.hears(o, name) {
			k.say(o, fmt.Sprintf("the page does not hear %s", name))
		}
	}
	if _, list := o.(*kit.List); list {
		return
	}
	if heard := k.hears(o, fyne.KeyReturn); pressed != 1 && !heard {
		k.say(o, "Return does nothing")
	} else if pressed > 0 && heard {
		k.say(o, "Return presses it, and the page hears it too")
	}
}

// hears says whether the page hears of a key that is typed to o.
func (k *keyboard) hears(o fyne.Focusable, name fyne.KeyName) bool {
	k.keys = nil
	o.TypedKey(&fyne.KeyEvent{Name: name})
	return len(k.keys) == 1 && k.keys[0] == name
}
