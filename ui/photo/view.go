package photo

import "math"

// View maps device pixels to photo pixels, centres at integers in both.
type View struct {
	Scale  float64 // device px per photo px
	OX, OY float64 // photo point under device (0, 0)
}

// Limits of Scale: from a whole 200 MP picture on a small screen to single pixels
// the size of a thumbnail.
const minScale, maxScale = 1.0 / 64, 64.0

// ToPhoto returns the photo point under device point (x, y).
func (v View) ToPhoto(x, y float64) (px, py float64) { return v.OX + x/v.Scale, v.OY + y/v.Scale }

// ToDevice is the inverse of ToPhoto.
func (v View) ToDevice(px, py float64) (x, y float64) {
	return (px - v.OX) * v.Scale, (py - v.OY) * v.Scale
}

// ZoomAt scales by k about device point (x, y): the photo point there stays put.
func (v View) ZoomAt(x, y, k float64) View {
	ix, iy := v.ToPhoto(x, y)
	s := min(max(v.Scale*k, minScale), maxScale)
	return View{Scale: s, OX: ix - x/s, OY: iy - y/s}
}

// Pan moves the picture by device pixels (dx, dy).
func (v View) Pan(dx, dy float64) View {
	v.OX -= dx / v.Scale
	v.OY -= dy / v.Scale
	return v
}

// Fit shows photo rectangle (x0, y0)-(x1, y1), outer pixel borders, whole and
// centred on a screen area of w x h device pixels.
func Fit(w, h int, x0, y0, x1, y1 float64) View {
	if w <= 0 || h <= 0 || x1 <= x0 || y1 <= y0 {
		return View{Scale: 1}
	}
	s := min(float64(w)/(x1-x0), float64(h)/(y1-y0))
	s = min(max(s, minScale), maxScale)
	return View{Scale: s, OX: (x0+x1)/2 - (float64(w)-1)/2/s, OY: (y0+y1)/2 - (float64(h)-1)/2/s}
}

// FitPhoto shows a photo of pw x ph pixels whole.
func FitPhoto(w, h, pw, ph int) View { return Fit(w, h, -0.5, -0.5, float64(pw)-0.5, float64(ph)-0.5) }

// KeepIn moves the view, without a change of scale, so that a photo of pw x ph
// pixels cannot be lost: the middle of the screen area stays on the photo, and a
// photo smaller than the area stays whole within it.
func (v View) KeepIn(w, h, pw, ph int) View {
	half := 0.5 / v.Scale // from a device pixel's centre to its border
	v.OX = keepAxis(v.OX-half, float64(w)/v.Scale, float64(pw)) + half
	v.OY = keepAxis(v.OY-half, float64(h)/v.Scale, float64(ph)) + half
	return v
}

// keepAxis clamps border, the photo position of the area's first border.
func keepAxis(border, span, size float64) float64 {
	if span >= size { // all fits: between flush left and flush right
		return min(max(border, size-0.5-span), -0.5)
	}
	return min(max(border, -0.5-span/2), size-0.5-span/2)
}

// Recentre keeps the photo point in the middle of a w0 x h0 area in the middle of a
// w1 x h1 one.
func (v View) Recentre(w0, h0, w1, h1 int) View {
	v.OX += (float64(w0) - float64(w1)) / 2 / v.Scale
	v.OY += (float64(h0) - float64(h1)) / 2 / v.Scale
	return v
}

// Same reports whether two views show the same pixels.
func (v View) Same(o View) bool {
	return v.Scale == o.Scale && math.Abs(v.OX-o.OX)*v.Scale < 1e-6 && math.Abs(v.OY-o.OY)*v.Scale < 1e-6
}
