package kit_test

import (
	"testing"

	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// Who has pressed a slider or a list goes on by keyboard: letters and the keys that don't
// move it reach the page, and Escape lets go.
func TestASliderAndAListHandOnWhatTheyHaveNoUseFor(t *testing.T) {
	test.NewTempApp(t)
	slider := kit.NewSlider(0, 10)
	slider.Step = 2
	list := kit.NewSelect([]string{"steel", "brass", "cast iron"}, "steel", nil)
	for name, o := range map[string]fyne.Focusable{"slider": slider, "list": list} {
		c := test.NewTempWindow(t, o.(fyne.CanvasObject)).Canvas()
		var keys []fyne.KeyName
		var letters []rune
		c.SetOnTypedKey(func(k *fyne.KeyEvent) { keys = append(keys, k.Name) })
		c.SetOnTypedRune(func(r rune) { letters = append(letters, r) })
		c.Focus(o)
		o.TypedRune('y')
		o.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		o.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight}) // its own
		if string(letters) != "y" || len(keys) != 1 || keys[0] != fyne.KeyReturn {
			t.Errorf("%s: the page hears letters %q and keys %v, want y and Return", name, string(letters), keys)
		}
		o.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
		if c.Focused() != nil {
			t.Errorf("%s: Escape leaves the focus in it", name)
		}
	}
	if slider.Value != 2 || list.Selected != "brass" {
		t.Errorf("after Right: slider at %g, list on %q, want 2 and brass", slider.Value, list.Selected)
	}
	slider.TypedKey(&fyne.KeyEvent{Name: fyne.KeyUp})
	slider.TypedKey(&fyne.KeyEvent{Name: fyne.KeyUp})
	slider.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	if slider.Value != 4 {
		t.Errorf("Up, Up, Down from 2 come to %g, want 4", slider.Value)
	}
}

// Who came to a button by Tab presses it with Return, gets away from it with Escape, and
// everything else works as if it weren't there.
func TestAButtonHandsOnWhatItHasNoUseFor(t *testing.T) {
	test.NewTempApp(t)
	pressed := 0
	b := kit.NewButton("Hold", func() { pressed++ })
	c := test.NewTempWindow(t, b).Canvas()
	var keys []fyne.KeyName
	var letters []rune
	c.SetOnTypedKey(func(k *fyne.KeyEvent) { keys = append(keys, k.Name) })
	c.SetOnTypedRune(func(r rune) { letters = append(letters, r) })
	c.Focus(b)
	b.TypedRune('k')
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	b.TypedRune(' ')
	if pressed != 2 || string(letters) != "k" || len(keys) != 1 || keys[0] != fyne.KeyDown {
		t.Errorf("pressed %d times, the page hears letters %q and keys %v; want 2, k and Down", pressed, string(letters), keys)
	}
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if c.Focused() != nil {
		t.Error("Escape leaves the focus on it")
	}
}

// A box is ticked by Return as by the blank, which the page must not hear of: on some pages
// it does something else.
func TestABoxHandsOnWhatItHasNoUseFor(t *testing.T) {
	test.NewTempApp(t)
	ticks := 0
	b := kit.NewCheck("raw face", func(bool) { ticks++ })
	c := test.NewTempWindow(t, b).Canvas()
	var keys []fyne.KeyName
	var letters []rune
	c.SetOnTypedKey(func(k *fyne.KeyEvent) { keys = append(keys, k.Name) })
	c.SetOnTypedRune(func(r rune) { letters = append(letters, r) })
	c.Focus(b)
	b.TypedRune('u')
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	b.TypedRune(' ')
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	if ticks != 2 || b.Checked || string(letters) != "u" || len(keys) != 1 || keys[0] != fyne.KeyF1 {
		t.Errorf("%d ticks, ticked %v, the page hears letters %q and keys %v; want 2, false, u and F1", ticks, b.Checked, string(letters), keys)
	}
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if c.Focused() != nil {
		t.Error("Escape leaves the focus on it")
	}
}

// What is pressed and what lists rows keep the keys that move them and hand on the rest.
func TestATapAndAListOfRowsHandOnWhatTheyHaveNoUseFor(t *testing.T) {
	test.NewTempApp(t)
	tap := kit.NewTap(kit.NewLine("wall 3", 1, kit.Ink), nil)
	row := func() fyne.CanvasObject { return kit.NewLine("wall", 1, kit.Ink) }
	rows := kit.NewList(func() int { return 3 }, row, func(int, fyne.CanvasObject) {})
	for name, o := range map[string]fyne.Focusable{"tap": tap, "rows": rows} {
		c := test.NewTempWindow(t, o.(fyne.CanvasObject)).Canvas()
		var keys []fyne.KeyName
		var letters []rune
		c.SetOnTypedKey(func(k *fyne.KeyEvent) { keys = append(keys, k.Name) })
		c.SetOnTypedRune(func(r rune) { letters = append(letters, r) })
		c.Focus(o)
		o.TypedRune('/')
		o.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn}) // its own
		o.TypedKey(&fyne.KeyEvent{Name: fyne.KeyPageDown})
		if string(letters) != "/" || len(keys) != 1 || keys[0] != fyne.KeyPageDown {
			t.Errorf("%s: the page hears letters %q and keys %v, want / and Page Down", name, string(letters), keys)
		}
	}
}

// The window that has the focus hears of the keys, whatever the toolkit takes for it: for
// what was hidden or taken out with the focus it knows no window after a while.
func TestKeysGoToTheWindowThatHasTheFocus(t *testing.T) {
	test.NewTempApp(t)
	b := kit.NewButton("Add a hole", func() {})
	c := test.NewTempWindow(t, b).Canvas()
	test.NewTempWindow(t, kit.NewLine("another", 1, kit.Ink)) // the toolkit's tests take the last
	var letters string
	var keys []fyne.KeyName
	c.SetOnTypedRune(func(r rune) { letters += string(r) })
	c.SetOnTypedKey(func(k *fyne.KeyEvent) { keys = append(keys, k.Name) })
	c.Focus(b)
	b.Hide()
	b.TypedRune('h')
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
	if letters != "h" || len(keys) != 1 {
		t.Errorf("the window hears letters %q and keys %v, want h and F1", letters, keys)
	}
	b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if c.Focused() != nil {
		t.Error("Escape leaves the focus on it")
	}
}
