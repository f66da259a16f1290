package photo

import (
	"image"
	"math"

	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// Viewer shows a Pyramid with an Overlay. Wheel: zoom at the pointer. Drag: pan,
// or turn the +X arrow when begun at its tip. Keys, once a press has focused it: arrows,
// + and -, Home (fit); the page hears the others. All methods are for the UI goroutine.
type Viewer struct {
	widget.BaseWidget

	// OnAxes is told where +X was dragged to; done comes with the last call of a drag.
	OnAxes func(plusX float64, done bool)
	// OnZoom is told each new scale, device px per photo px.
	OnZoom func(scale float64)
	// Tool, when set, gets drags that don't begin at the arrow instead of panning.
	Tool Tool

	pyramid *Pyramid
	view    View
	fitted  bool // follow the widget's size until the user zooms or pans
	overlay Overlay
	bare    bool // overlay hidden

	raster    *canvas.Raster
	w, h      int         // device size last drawn
	base, out *image.RGBA // the photo alone, and with the overlay
	baseView  View
	baseOf    *Pyramid
	baseDark  bool
	grab      grab
	inHand    Tool // pressed and not yet let go; pressing may have put Tool away
	last      fyne.Position
	focused   bool
}

// Tool works on the photo with the pointer; positions are photo pixels.
type Tool interface {
	Press(px, py, pxPerDevice float64)
	Drag(px, py float64)
	Release()
}

type grab int

const (
	nothing grab = iota
	panning
	turning
	tooling
)

var (
	_ fyne.Scrollable    = (*Viewer)(nil)
	_ fyne.Draggable     = (*Viewer)(nil)
	_ fyne.Focusable     = (*Viewer)(nil)
	_ desktop.Mouseable  = (*Viewer)(nil)
	_ desktop.Hoverable  = (*Viewer)(nil)
	_ desktop.Cursorable = (*Viewer)(nil)
)

// NewViewer returns an empty viewer.
func NewViewer() *Viewer {
	v := &Viewer{view: View{Scale: 1}, fitted: true}
	v.raster = canvas.NewRaster(v.draw)
	v.ExtendBaseWidget(v)
	return v
}

// CreateRenderer implements fyne.Widget.
func (v *Viewer) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(v.raster) }

// MinSize implements fyne.CanvasObject: small, the layout decides.
func (v *Viewer) MinSize() fyne.Size { return fyne.NewSize(160, 120) }

// SetPhoto shows another photo whole; nil shows none.
func (v *Viewer) SetPhoto(p *Pyramid) {
	v.pyramid = p
	v.fitted = true
	v.refit()
	v.raster.Refresh()
}

// SetOverlay replaces what lies over the photo.
func (v *Viewer) SetOverlay(o Overlay) {
	v.overlay = o
	v.raster.Refresh()
}

// Bare reports whether the overlay is hidden.
func (v *Viewer) Bare() bool { return v.bare }

// SetBare hides or shows the overlay, to judge the edges without it.
func (v *Viewer) SetBare(bare bool) {
	v.bare = bare
	v.raster.Refresh()
}

// View returns how the photo is shown.
func (v *Viewer) View() View { return v.view }

// Fit shows the whole photo and follows the window's size again.
func (v *Viewer) Fit() {
	v.fitted = true
	v.refit()
	v.raster.Refresh()
}

// ShowSquare brings the square of half side r about a photo point into view.
func (v *Viewer) ShowSquare(px, py, r float64) {
	if v.w == 0 || r <= 0 {
		return
	}
	v.set(Fit(v.w, v.h, px-r, py-r, px+r, py+r))
}

// OneToOne shows a photo pixel as a device pixel about the middle of the area.
func (v *Viewer) OneToOne() { v.ZoomBy(1 / v.view.Scale) }

// ZoomBy zooms about the middle of the area.
func (v *Viewer) ZoomBy(k float64) {
	v.set(v.view.ZoomAt(float64(v.w-1)/2, float64(v.h-1)/2, k))
}

func (v *Viewer) set(view View) {
	v.fitted = false
	v.view = view
	if v.pyramid != nil {
		pw, ph := v.pyramid.Size()
		v.view = view.KeepIn(v.w, v.h, pw, ph)
	}
	v.changed()
}

func (v *Viewer) changed() {
	v.raster.Refresh()
	if v.OnZoom != nil {
		v.OnZoom(v.view.Scale)
	}
}

func (v *Viewer) refit() {
	if v.pyramid == nil || v.w == 0 {
		return
	}
	pw, ph := v.pyramid.Size()
	v.view = FitPhoto(v.w, v.h, pw, ph)
	if v.OnZoom != nil {
		v.OnZoom(v.view.Scale)
	}
}

// draw is the raster's generator: the visible part at device size.
func (v *Viewer) draw(w, h int) image.Image {
	if w != v.w || h != v.h || v.out == nil {
		old := image.Pt(v.w, v.h)
		v.w, v.h = w, h
		v.base, v.out = image.NewRGBA(image.Rect(0, 0, w, h)), image.NewRGBA(image.Rect(0, 0, w, h))
		v.baseOf = nil
		if v.fitted || old == (image.Point{}) {
			v.refit()
		} else {
			v.view = v.view.Recentre(old.X, old.Y, w, h)
		}
	}
	if dark := look.Now().Dark; v.baseOf == nil || v.baseOf != v.pyramid || v.baseDark != dark || !v.baseView.Same(v.view) {
		v.baseDark = dark
		Render(v.base, v.pyramid, v.view, look.Now().Margin)
		v.baseOf, v.baseView = v.pyramid, v.view
	}
	copy(v.out.Pix, v.base.Pix)
	if v.pyramid != nil && !v.bare {
		o := v.overlay
		o.Text = float64(look.Zoom())
		Draw(v.out, o, v.view, v.devicePerLayout())
	}
	if v.focused {
		frame(v.out, look.Now().Setup1, max(int(2*v.devicePerLayout()), 1))
	}
	return v.out
}

func (v *Viewer) devicePerLayout() float64 {
	if s := v.Size(); s.Width > 0 && v.w > 0 {
		return float64(v.w) / float64(s.Width)
	}
	return 1
}

// device turns a position in the widget into device pixels, centres at integers.
func (v *Viewer) device(p fyne.Position) (x, y float64) {
	k := v.devicePerLayout()
	return float64(p.X)*k - 0.5, float64(p.Y)*k - 0.5
}

// Scrolled implements fyne.Scrollable: one notch of a wheel is about a fifth.
func (v *Viewer) Scrolled(e *fyne.ScrollEvent) {
	if v.pyramid == nil {
		return
	}
	x, y := v.device(e.Position)
	v.set(v.view.ZoomAt(x, y, math.Exp2(float64(e.Scrolled.DY)/38)))
}

// MouseDown implements desktop.Mouseable: it decides what a drag will move.
func (v *Viewer) MouseDown(e *desktop.MouseEvent) {
	v.last = e.Position
	v.grab = v.at(e.Position)
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
	switch v.grab {
	case turning:
		v.setGrabbed(true)
	case tooling:
		px, py := v.photoAt(e.Position)
		v.inHand = v.Tool
		v.inHand.Press(px, py, 1/v.view.Scale)
	}
}

func (v *Viewer) photoAt(p fyne.Position) (px, py float64) { return v.view.ToPhoto(v.device(p)) }

// at says what lies under a position.
func (v *Viewer) at(p fyne.Position) grab {
	switch a := v.overlay.Axes; {
	case v.pyramid == nil:
		return nothing
	case a != nil && !v.bare && v.OnAxes != nil && v.nearTip(*a, p):
		return turning
	case v.Tool != nil:
		return tooling
	}
	return panning
}

func (v *Viewer) nearTip(a Axes, p fyne.Position) bool {
	x, y := v.device(p)
	tip := a.Tip()
	tx, ty := v.view.ToDevice(tip.X, tip.Y)
	return math.Hypot(tx-x, ty-y) <= grabRadius*v.devicePerLayout()
}

// Dragged implements fyne.Draggable.
func (v *Viewer) Dragged(e *fyne.DragEvent) {
	switch v.grab {
	case turning:
		v.turn(e.Position, false)
	case tooling:
		v.inHand.Drag(v.photoAt(e.Position))
	case panning:
		k := v.devicePerLayout()
		v.set(v.view.Pan(float64(e.Dragged.DX)*k, float64(e.Dragged.DY)*k))
	}
	v.last = e.Position
}

func (v *Viewer) turn(p fyne.Position, done bool) {
	if v.overlay.Axes == nil {
		return
	}
	px, py := v.photoAt(p)
	a := *v.overlay.Axes
	a.PlusX = a.Towards(px, py)
	v.overlay.Axes = &a
	v.raster.Refresh()
	v.OnAxes(a.PlusX, done)
}

func (v *Viewer) setGrabbed(on bool) {
	if v.overlay.Axes == nil {
		return
	}
	a := *v.overlay.Axes
	a.Grabbed = on
	v.overlay.Axes = &a
	v.raster.Refresh()
}

// DragEnd implements fyne.Draggable.
func (v *Viewer) DragEnd() { v.release() }

// MouseUp implements desktop.Mouseable.
func (v *Viewer) MouseUp(*desktop.MouseEvent) { v.release() }

func (v *Viewer) release() {
	was := v.grab
	v.grab = nothing
	switch was {
	case turning:
		v.setGrabbed(false)
		v.turn(v.last, true)
	case tooling:
		v.inHand.Release()
	}
}

// MouseIn implements desktop.Hoverable.
func (v *Viewer) MouseIn(*desktop.MouseEvent) {}

// MouseMoved implements desktop.Hoverable: the middle and right buttons always pan.
func (v *Viewer) MouseMoved(e *desktop.MouseEvent) {
	if e.Button == desktop.MouseButtonSecondary || e.Button == desktop.MouseButtonTertiary {
		k := v.devicePerLayout()
		v.set(v.view.Pan(float64(e.Position.X-v.last.X)*k, float64(e.Position.Y-v.last.Y)*k))
	}
	if v.grab == nothing || v.grab == panning {
		v.last = e.Position
	}
}

// MouseOut implements desktop.Hoverable.
func (v *Viewer) MouseOut() {}

// Cursor implements desktop.Cursorable.
func (v *Viewer) Cursor() desktop.Cursor {
	switch v.at(v.last) {
	case turning:
		return desktop.PointerCursor
	case tooling:
		return desktop.CrosshairCursor
	}
	return desktop.DefaultCursor
}

// FocusGained implements fyne.Focusable.
func (v *Viewer) FocusGained() { v.focused = true; v.raster.Refresh() }

// FocusLost implements fyne.Focusable.
func (v *Viewer) FocusLost() { v.focused = false; v.raster.Refresh() }

// TypedRune implements fyne.Focusable.
func (v *Viewer) TypedRune(r rune) {
	switch r {
	case '+', '=':
		v.ZoomBy(1.25)
	case '-':
		v.ZoomBy(0.8)
	default:
		kit.HandOnLetter(v, r)
	}
}

// TypedKey implements fyne.Focusable.
func (v *Viewer) TypedKey(e *fyne.KeyEvent) {
	step := 48 * v.devicePerLayout()
	switch e.Name {
	case fyne.KeyLeft:
		v.set(v.view.Pan(step, 0))
	case fyne.KeyRight:
		v.set(v.view.Pan(-step, 0))
	case fyne.KeyUp:
		v.set(v.view.Pan(0, step))
	case fyne.KeyDown:
		v.set(v.view.Pan(0, -step))
	case fyne.KeyHome:
		v.Fit()
	default:
		kit.HandOn(v, e)
	}
}
