package kit

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

func TestFlowBeginsANewRowWhereThereIsNoRoom(t *testing.T) {
	var o []fyne.CanvasObject
	for range 5 {
		r := canvas.NewRectangle(nil)
		r.SetMinSize(fyne.NewSize(100, 40))
		o = append(o, r)
	}
	c := Flow(10, o...)
	for _, tt := range []struct{ width, height float32 }{{600, 40}, {330, 90}, {100, 240}} {
		c.Resize(fyne.NewSize(tt.width, 400))
		if got := c.MinSize().Height; got != tt.height {
			t.Errorf("at width %v: height %v, want %v", tt.width, got, tt.height)
		}
		for i, r := range o {
			if end := r.Position().X + r.Size().Width; end > tt.width {
				t.Errorf("at width %v object %d ends at %v", tt.width, i, end)
			}
		}
	}
}
