package kit_test

import (
	"testing"

	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
)

// Who has only a keyboard gets out of every field, by Tab and by Escape, and F1 reaches
// the window where the field has no help of its own.
func TestTheKeyboardGetsOutOfAField(t *testing.T) {
	test.NewTempApp(t)
	for name, e := range map[string]*kit.Entry{"a line": kit.NewEntry(), "several lines": kit.NewLines()} {
		next := kit.NewEntry()
		win := test.NewTempWindow(t, container.NewVBox(e, next))
		c := win.Canvas()
		heard := fyne.KeyName("")
		c.SetOnTypedKey(func(k *fyne.KeyEvent) { heard = k.Name })
		if c.Focus(e); e.AcceptsTab() {
			t.Errorf("%s: keeps Tab for itself", name)
		}
		e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
		if heard != fyne.KeyF1 {
			t.Errorf("%s: the window hears %q of F1", name, heard)
		}
		helped := false
		e.OnHelp, heard = func() { helped = true }, ""
		e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
		if !helped || heard != "" {
			t.Errorf("%s with help of its own: helped %t, the window heard %q", name, helped, heard)
		}
		e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
		if c.Focused() != nil {
			t.Errorf("%s: Escape leaves the cursor in it", name)
		}
	}
}
