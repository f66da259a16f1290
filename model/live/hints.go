package live

import (
	"fmt"
	"math"

	"evenrim/model"
)

// HintKind is what a hint is about; the window has a sign for each.
type HintKind string

const (
	HintMotion HintKind = "motion"
	HintLight  HintKind = "light"
	HintFocus  HintKind = "focus"
	HintPlace  HintKind = "place"
	HintView   HintKind = "view"
	HintCard   HintKind = "card"
)

// Hint is one thing a person can do for a better picture.
type Hint struct {
	Kind  HintKind
	Words string // short, what is wrong and what to do
}

// Facts are what the picture says of itself.
type Facts struct {
	Width, Height int
	// Level is the mean grey (encoded, 0..1) and Clipped the share of saturated
	// pixels of the left, middle and right third, about the hole once it is known.
	Level, Clipped [3]float64

	Hole    *model.Circle // px; nil = not known. The outer edge
	UmPerPx float64       // 0 = not known
	WidthMM float64       // of the chamfer; 0 = not known
	BlurPx  float64       // sd of the edges' blur, the pixel's width included; 0 = not known
	ShakePx float64       // from picture to picture
	Exit    bool          // the exit rim is seen
	Slope   model.Vec     // of the line of sight, photo axes, x right and y down; zero = not known
	NoBore  bool          // the job card has no bore diameter yet
}

// Limits of a good picture.
const (
	darkGrey, brightGrey = 0.16, 0.93 // encoded: below, noise and the coding's steps rule
	clippedShare         = 0.06
	softPx               = 2.4 // sd; a focussed bench photo has 0.7 to 1.5
	sharpPx              = softPx / 2
	// SteadyPx is how little the hole may move between two pictures to count as
	// steady: at 1/120 s a quarter of it falls into the exposure, less than the
	// blur of any lens here.
	SteadyPx = 0.8
	movingPx = 4.0
	// widthPx is how many pixels the chamfer's width should have: from there on
	// the two edges no longer pull each other.
	widthPx          = 15.0
	fullShare        = 0.86 // of the picture's height that the hole may fill
	offShare         = 0.16 // of the height that the hole may lie off the middle
	leanSlope        = 0.07 // 4 degrees
	mostHints        = 3
	left, mid, right = 0, 1, 2
)

// Hints says what to do for a better picture, most needed first, three at most.
func Hints(f Facts) []Hint {
	var h []Hint
	add := func(k HintKind, format string, a ...any) { h = append(h, Hint{k, fmt.Sprintf(format, a...)}) }
	if f.NoBore {
		add(HintCard, "Type the bore diameter on the job card: the number needs it.")
	}
	if f.ShakePx > movingPx {
		add(HintMotion, "Hold still, or rest the camera on something.")
	}
	if words := lightWords(f); words != "" {
		add(HintLight, "%s", words)
	}
	if f.BlurPx > softPx {
		add(HintFocus, "Out of focus: the edges are %.0f times too soft. Turn the focus ring, or move a little to and fro.", math.Max(2, f.BlurPx/sharpPx))
	}
	if f.Hole != nil {
		if w := placeWords(f); w != "" {
			add(HintPlace, "%s", w)
		}
	}
	if s := f.Slope.Norm(); s > leanSlope {
		add(HintView, "Stand straighter over the hole: it is seen from %.0f degrees to %s.", math.Atan(s)*180/math.Pi, side(f.Slope))
	} else if f.Hole != nil && !f.Exit && len(h) < mostHints {
		add(HintView, "Lay white paper under the part: with the far rim in view the number gets surer.")
	}
	return h[:min(len(h), mostHints)]
}

// lightWords says where it is too dark or too bright.
func lightWords(f Facts) string {
	where := func(bad func(i int) bool) string {
		switch l, m, r := bad(left), bad(mid), bad(right); {
		case l && r:
			return "everywhere"
		case l && m:
			return "on the left two thirds"
		case m && r:
			return "on the right two thirds"
		case l:
			return "on the left third"
		case r:
			return "on the right third"
		case m && f.Hole == nil:
			return "in the middle"
		}
		return ""
	}
	if w := where(func(i int) bool { return f.Level[i] < darkGrey }); w != "" {
		return "Too dark " + w + ": more light, or light from there."
	}
	if w := where(func(i int) bool { return f.Level[i] > brightGrey || f.Clipped[i] > clippedShare }); w != "" {
		return "Too bright " + w + ": less light there, or a sheet of paper before the lamp."
	}
	return ""
}

// placeWords says whether to move closer, back or sideways.
func placeWords(f Facts) string {
	c, h := f.Hole, float64(f.Height)
	fill := 2 * c.R / math.Min(float64(f.Width), h)
	if fill > fullShare {
		return "Move back a little: the hole hardly fits in."
	}
	if f.UmPerPx > 0 && f.WidthMM > 0 {
		want := 1000 * f.WidthMM / widthPx
		// No closer than the hole fits in.
		want = math.Max(want, f.UmPerPx*fill/(fullShare-0.04))
		if f.UmPerPx > 1.15*want {
			return fmt.Sprintf("Move closer, until the hole looks %.1f times as wide.", f.UmPerPx/want)
		}
	}
	off := model.Vec{X: c.X - float64(f.Width-1)/2, Y: c.Y - (h-1)/2}
	if off.Norm() > offShare*h {
		return "Bring the hole to the middle: it lies to " + side(off) + "."
	}
	return ""
}

// side names where a direction of the picture (y down) points.
func side(v model.Vec) string {
	switch {
	case math.Abs(v.X) >= math.Abs(v.Y) && v.X < 0:
		return "the left"
	case math.Abs(v.X) >= math.Abs(v.Y):
		return "the right"
	case v.Y < 0:
		return "the top"
	}
	return "the bottom"
}
