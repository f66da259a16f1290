package kit

import (
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Track shows how far something has come, as a line being drawn.
type Track struct {
	widget.BaseWidget
	share float64
}

// NewTrack returns a track at 0.
func NewTrack() *Track {
	t := &Track{}
	t.ExtendBaseWidget(t)
	return t
}

// Set moves the track to a share, 0..1.
func (t *Track) Set(share float64) {
	if share = min(max(share, 0), 1); share != t.share {
		t.share = share
		t.Refresh()
	}
}

// CreateRenderer implements fyne.Widget.
func (t *Track) CreateRenderer() fyne.WidgetRenderer {
	r := &trackRenderer{t: t, back: canvas.NewRectangle(nil), done: canvas.NewRectangle(nil)}
	r.Refresh()
	return r
}

type trackRenderer struct {
	t          *Track
	back, done *canvas.Rectangle
}

func (r *trackRenderer) Layout(s fyne.Size) {
	const h = 5
	y := (s.Height - h) / 2
	r.back.Move(fyne.NewPos(0, y))
	r.back.Resize(fyne.NewSize(s.Width, h))
	r.done.Move(fyne.NewPos(0, y))
	r.done.Resize(fyne.NewSize(s.Width*float32(r.t.share), h))
}

func (r *trackRenderer) MinSize() fyne.Size { return fyne.NewSize(40, 8) }

func (r *trackRenderer) Refresh() {
	p := look.Now()
	r.back.FillColor, r.done.FillColor = p.Rule, p.Setup1
	r.back.CornerRadius, r.done.CornerRadius = 2.5, 2.5
	r.Layout(r.t.Size())
	r.back.Refresh()
	r.done.Refresh()
}

func (r *trackRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.back, r.done}
}
func (r *trackRenderer) Destroy() {}
