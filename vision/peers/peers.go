// Package peers reads a mismatch as a practised person would script it with
// general-purpose libraries, for a fair comparison on the same photos: edges by
// Canny's method with an ellipse fitted to each contour, and circles by Hough's.
// The difference of the two rims' centres is the mismatch.
//
// The scripts are helped: they are told the photo's scale, so that they know what
// radii to look for. They say nothing of an uncertainty.
package peers

import (
	"fmt"
	"image"
	"math"
	"slices"

	"gocv.io/x/gocv"

	"evenrim/model"
)

// Names of the ways.
const (
	CannyEllipse = "Canny + ellipse fit"
	Hough        = "Hough circles"
	RANSAC       = "RANSAC ellipses (scikit-image)"
)

// Expect is what a script is told of a photo.
type Expect struct {
	BoreMM, ChamferMM, PxPerMM float64
	PlusX                      float64 // rad, as on the job card
}

func (e Expect) radii() (outer, bore float64) {
	return (e.BoreMM/2 + e.ChamferMM) * e.PxPerMM, e.BoreMM / 2 * e.PxPerMM
}

// Result is what one way makes of a photo.
type Result struct {
	Way      string
	Mismatch model.Vec // mm, setup 2 axes
	OK       bool      // false: it found no two rims
	Centre   model.Vec // of the bore edge, px
}

// Read reads a grey photo both ways. gray is w x h, row by row.
func Read(gray []byte, w, h int, e Expect) ([]Result, error) {
	if w < 16 || h < 16 || len(gray) != w*h {
		return nil, fmt.Errorf("vision/peers: %d bytes for %d x %d pixels", len(gray), w, h)
	}
	m, err := gocv.NewMatFromBytes(h, w, gocv.MatTypeCV8UC1, gray)
	if err != nil {
		return nil, fmt.Errorf("vision/peers: %w", err)
	}
	defer m.Close()
	soft := gocv.NewMat()
	defer soft.Close()
	gocv.GaussianBlur(m, &soft, image.Pt(5, 5), 1.4, 1.4, gocv.BorderDefault)
	return []Result{canny(soft, e), hough(soft, e)}, nil
}

// mismatch turns the rims' centres, px, into a mismatch in part axes.
func (e Expect) mismatch(outer, bore model.Vec) model.Vec {
	d := outer.Sub(bore).Scale(1 / e.PxPerMM)
	return model.Vec{X: d.X, Y: -d.Y}.Rotate(-e.PlusX)
}

// canny takes thresholds from the picture's middle grey, as is usual (common
// practice, no source), fits an ellipse to each contour and keeps for each rim the
// one of about its size that most edge pixels lie on. The library's own ellipse fit
// is not used from Go, where it gives whole pixels; ours is as good (direct
// least squares).
func canny(soft gocv.Mat, e Expect) Result {
	out := Result{Way: CannyEllipse}
	mid := middleGrey(soft)
	edges := gocv.NewMat()
	defer edges.Close()
	gocv.Canny(soft, &edges, float32(math.Max(10, 0.66*mid)), float32(math.Min(250, math.Max(30, 1.33*mid))))
	contours := gocv.FindContours(edges, gocv.RetrievalList, gocv.ChainApproxNone)
	defer contours.Close()
	all := contours.ToPoints()
	outer, bore := e.radii()
	o, okO := bestEllipse(all, outer)
	b, okB := bestEllipse(all, bore)
	if !okO || !okB {
		return out
	}
	out.OK, out.Centre = true, model.Vec{X: b.X, Y: b.Y}
	out.Mismatch = e.mismatch(model.Vec{X: o.X, Y: o.Y}, out.Centre)
	return out
}

// near is how far off its expected size a rim is taken, as a share.
const near = 0.06

func bestEllipse(all [][]image.Point, radius float64) (best model.Ellipse, ok bool) {
	most := 0
	for _, c := range all {
		if float64(len(c)) < 0.5*radius { // less than a twelfth of the rim
			continue
		}
		pts := make([]model.Vec, len(c))
		for i, p := range c {
			pts[i] = model.Vec{X: float64(p.X), Y: float64(p.Y)}
		}
		f, err := model.FitEllipseDirect(pts)
		if err != nil || math.Abs((f.A+f.B)/2/radius-1) > near || f.B < 0.85*f.A {
			continue
		}
		n := 0
		for _, p := range pts {
			if math.Abs(math.Hypot(p.X-f.X, p.Y-f.Y)-(f.A+f.B)/2) < 2 {
				n++
			}
		}
		if n > most {
			best, most, ok = f, n, true
		}
	}
	return best, ok
}

func middleGrey(m gocv.Mat) float64 {
	b := m.ToBytes()
	var count [256]int
	for _, v := range b {
		count[v]++
	}
	sum := 0
	for v, n := range count {
		if sum += n; sum >= len(b)/2 {
			return float64(v)
		}
	}
	return 128
}

// hough takes the strongest circle of about each rim's size.
func hough(soft gocv.Mat, e Expect) Result {
	out := Result{Way: Hough}
	outer, bore := e.radii()
	find := func(r float64) (c model.Vec, ok bool) {
		found := gocv.NewMat()
		defer found.Close()
		// Half the gap to the other rim, so that it isn't taken for this one.
		tol := int(math.Max(math.Min(near*r, (outer-bore)/2), 2))
		gocv.HoughCirclesWithParams(soft, &found, gocv.HoughGradient, 1, r/2, 100, 20, int(r)-tol, int(r)+tol)
		if found.Empty() || found.Cols() < 1 || found.Channels() != 3 {
			return c, false
		}
		v := found.GetVecfAt(0, 0)
		return model.Vec{X: float64(v[0]), Y: float64(v[1])}, true
	}
	o, okO := find(outer)
	b, okB := find(bore)
	if !okO || !okB {
		return out
	}
	out.OK, out.Centre, out.Mismatch = true, b, e.mismatch(o, b)
	return out
}

// Ways lists the ways in the order of a table.
func Ways() []string { return slices.Clone([]string{CannyEllipse, Hough, RANSAC}) }
