package kit

import (
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Sign shows one of our icons at a size that follows the text.
type Sign struct {
	widget.BaseWidget
	Icon  fyne.Resource
	Times float32 // of the body text size
}

// NewSign returns an icon as high as times the body text.
func NewSign(icon fyne.Resource, times float32) *Sign {
	s := &Sign{Icon: icon, Times: times}
	s.ExtendBaseWidget(s)
	return s
}

// Set changes the icon.
func (s *Sign) Set(icon fyne.Resource) {
	s.Icon = icon
	s.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (s *Sign) CreateRenderer() fyne.WidgetRenderer {
	img := canvas.NewImageFromResource(s.Icon)
	img.FillMode = canvas.ImageFillContain
	return &signRenderer{s: s, img: img, drawn: s.Icon.Name()}
}

type signRenderer struct {
	s   *Sign
	img *canvas.Image
	// drawn is the icon's name, which tells day from night, when it was read last.
	drawn string
}

func (r *signRenderer) Layout(s fyne.Size) { r.img.Resize(s) }

func (r *signRenderer) MinSize() fyne.Size {
	k := r.s.Times * look.Text()
	return fyne.NewSize(k, k)
}

// Refresh reads the icon only when it has changed: parsing its file each time was a
// good part of what a new result costs.
func (r *signRenderer) Refresh() {
	name := r.s.Icon.Name()
	if name == r.drawn {
		return
	}
	r.drawn = name
	r.img.Resource = r.s.Icon
	r.img.Refresh()
}

func (r *signRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.img} }
func (r *signRenderer) Destroy()                     {}
