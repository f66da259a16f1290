package kit

import (
	"image"
	"image/color"
	"image/draw"

	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Painter draws a picture of w x h device pixels; k is device pixels per layout
// pixel. It runs off the UI goroutine, so it must own or only read its data. The
// result is tight with origin (0, 0); nil leaves the place empty.
type Painter func(w, h int, k float64, p look.Palette) *image.RGBA

// Drawing shows what a Painter draws, at the size the layout gives it. Painting
// is done by the crew, one at a time, the newest wish last; meanwhile the old
// picture stays.
type Drawing struct {
	widget.BaseWidget
	crew    *Crew
	min     fyne.Size
	grows   bool
	painter Painter
	raster  *canvas.Raster

	wish, made int // generations: what is wanted, what img shows
	img        *image.RGBA
	dark       bool
	w, h       int
	busy       bool
}

// NewDrawing returns an empty drawing of at least the given size.
func NewDrawing(crew *Crew, min fyne.Size) *Drawing {
	d := &Drawing{crew: crew, min: min}
	d.raster = canvas.NewRaster(d.show)
	d.ExtendBaseWidget(d)
	return d
}

// Growing lets the drawing's height follow the text's size and its own width, and returns
// it: a plot whose lettering grows needs the room for it.
func (d *Drawing) Growing() *Drawing { d.grows = true; return d }

// MinSize implements fyne.CanvasObject.
func (d *Drawing) MinSize() fyne.Size {
	if !d.grows {
		return d.min
	}
	return fyne.NewSize(d.min.Width, max(d.min.Height*look.Zoom(), 0.62*d.Size().Width))
}

// CreateRenderer implements fyne.Widget.
func (d *Drawing) CreateRenderer() fyne.WidgetRenderer { return &drawingRenderer{d} }

// Paint changes what is drawn; nil empties the drawing at once.
func (d *Drawing) Paint(p Painter) {
	d.painter = p
	d.wish++
	if p == nil {
		d.img = nil
	}
	d.raster.Refresh()
}

// show is the raster's generator. It never paints itself.
func (d *Drawing) show(w, h int) image.Image {
	dark := look.Now().Dark
	if w != d.w || h != d.h || dark != d.dark {
		d.w, d.h, d.dark = w, h, dark
		d.wish++
	}
	if d.made != d.wish {
		d.start()
	}
	if d.img != nil && d.img.Rect.Dx() == w && d.img.Rect.Dy() == h {
		return d.img
	}
	// An older size: laid in the corner for the moment, stretching would lie.
	out := image.NewRGBA(image.Rect(0, 0, max(w, 1), max(h, 1)))
	if d.img != nil {
		draw.Draw(out, out.Rect, d.img, image.Point{}, draw.Src)
	} else {
		draw.Draw(out, out.Rect, image.NewUniform(color.Transparent), image.Point{}, draw.Src)
	}
	return out
}

func (d *Drawing) start() {
	if d.busy || d.w < 2 || d.h < 2 {
		return
	}
	if d.painter == nil {
		d.made = d.wish
		return
	}
	d.busy = true
	paint, gen, w, h, p := d.painter, d.wish, d.w, d.h, look.Now()
	k := 1.0
	if s := d.Size(); s.Width > 0 {
		k = float64(w) / float64(s.Width)
	}
	p.TextScale = float64(look.Zoom())
	d.crew.Go(func() {
		img := paint(w, h, k, p)
		d.crew.Do(func() {
			d.busy, d.made = false, gen
			if d.painter != nil {
				d.img = img
			}
			d.raster.Refresh() // shows it, or starts the next wish
		})
	})
}

type drawingRenderer struct{ d *Drawing }

func (r *drawingRenderer) Layout(s fyne.Size)           { r.d.raster.Resize(s) }
func (r *drawingRenderer) MinSize() fyne.Size           { return r.d.MinSize() }
func (r *drawingRenderer) Refresh()                     { r.d.raster.Refresh() }
func (r *drawingRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.d.raster} }
func (r *drawingRenderer) Destroy()                     {}
