package kit

import "fyne.io/fyne/v2"

// Escape takes back one thing, wherever the focus is: the toolkit hands keys to what has
// the focus and to nothing else, so what can have it on a page or a sheet is one of ours
// and comes here.

// canvasOf is the canvas on which o has the focus. What the toolkit says itself comes
// second: a minute after o was hidden or taken out it knows no canvas for it, and hands
// it the keys still.
func canvasOf(o fyne.CanvasObject) fyne.Canvas {
	d := fyne.CurrentApp().Driver()
	for _, w := range d.AllWindows() {
		if any(w.Canvas().Focused()) == any(o) {
			return w.Canvas()
		}
	}
	return d.CanvasForObject(o)
}

// escape closes the sheet that o lies on, or takes the focus from it.
func escape(o fyne.CanvasObject) {
	c := canvasOf(o)
	if c != nil && !Dismiss(c) {
		c.Unfocus()
	}
}

// passOn hands a key that o has no use for to the window, as if nothing had the focus.
func passOn(o fyne.CanvasObject, k *fyne.KeyEvent) {
	if c := canvasOf(o); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(k)
	}
}

// Dismiss closes what lies over a canvas, if anything does.
func Dismiss(c fyne.Canvas) bool {
	top := c.Overlays().Top()
	if top == nil {
		return false
	}
	if n := len(sheets); n > 0 && sheets[n-1].win.Canvas() == c && sheets[n-1].over == top {
		sheets[n-1].Hide()
	} else {
		top.Hide()
	}
	return true
}
