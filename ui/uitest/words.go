package uitest

import (
	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
)

// Walk calls f for o and for everything visible in it; where f says no, what is inside is left out.
func Walk(o fyne.CanvasObject, f func(fyne.CanvasObject) bool) {
	if o == nil || !o.Visible() || !f(o) {
		return
	}
	switch w := o.(type) {
	case *fyne.Container:
		for _, c := range w.Objects {
			Walk(c, f)
		}
	case fyne.Widget:
		for _, c := range test.WidgetRenderer(w).Objects() {
			Walk(c, f)
		}
	}
}

// Words returns every visible piece of text in o, wrapped text joined, and what is typed.
func Words(o fyne.CanvasObject) []string {
	var out []string
	Walk(o, func(o fyne.CanvasObject) bool {
		switch w := o.(type) {
		case *kit.Prose:
			out = append(out, w.Text)
			return false
		case *kit.Line:
			out = append(out, w.Text)
			return false
		case *canvas.Text:
			out = append(out, w.Text)
		case *kit.Button:
			out = append(out, w.Text)
			return false
		case *widget.Entry:
			out = append(out, w.Text)
			return false
		case *kit.Entry:
			out = append(out, w.Text)
			return false
		}
		return true
	})
	return out
}
