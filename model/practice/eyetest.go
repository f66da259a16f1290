package practice

import (
	"math"
	"math/rand/v2"
	"time"

	"evenrim/model"
)

// The eye test. A picture shows a chamfer that is wide on one of four sides, and
// the person says which: a forced choice, so that neither caution nor boldness
// moves the result, and a guess is right one time in four, which the curve knows.
// The side is drawn at random and so is the picture's texture and the hole's
// place, so that nothing but the chamfer tells.
//
// Each trial's mismatch is the one whose answer is expected to say most about
// the threshold: the psi method of L. L. Kontsevich and C. W. Tyler, Vision
// Research 39:2729 (1999), in the form of N. Prins, Journal of Vision 13(7):3
// (2013), where slope and slips are unknown too but not what is asked about. It
// does with half the trials what a 2-down 1-up staircase (H. Levitt, J. Acoust.
// Soc. Am. 49:467, 1971) does, and states its interval. All three from memory.
// Every seventh picture is an easy one: it keeps up the spirit and shows slips.

// Side is one of the four places of the clock that the eye test asks about.
type Side int

const (
	Twelve Side = iota
	Three
	Six
	Nine
)

// Sides lists them clockwise.
var Sides = []Side{Twelve, Three, Six, Nine}

// Hour is the side's hour on the clock.
func (s Side) Hour() int { return []int{12, 3, 6, 9}[s] }

// ScreenRad is the side's direction on the screen, counter-clockwise from
// image-right.
func (s Side) ScreenRad() float64 { return math.Pi/2 - float64(s)*math.Pi/2 }

// Size of the test's picture and of what is in it, in points of the window: the
// picture is shown at exactly this size, one picture pixel a point.
const (
	EyePicturePt = 460
	EyeHolePt    = 300.0 // bore diameter
	EyeWidthPt   = 24.0  // chamfer width
)

// How long a test is.
const (
	leastTrials, mostTrials = 32, 64
	easyEvery               = 7
	// goodRatio is how many times High95 may be Low95 for the test to end early;
	// sureRatio the same for a result to plan with.
	goodRatio, sureRatio = 1.9, 3.0
)

// Trial is one picture of the eye test.
type Trial struct {
	N     int // 1, 2, ...
	Share float64
	Wide  Side
	Shot  Shot
}

// EyeTest is one run. The same seed and answers give the same test.
type EyeTest struct {
	seed    uint64
	n       int
	grid    *grid
	post    []float64 // over grid.cells, sums to 1
	now     Trial
	right   int
	slips   int // wrong answers to easy pictures
	isEasy  bool
	isEnded bool
}

// NewEyeTest begins a test.
func NewEyeTest(seed uint64) *EyeTest {
	t := &EyeTest{seed: seed, grid: theGrid()}
	t.post = append([]float64(nil), t.grid.prior...)
	t.next()
	return t
}

// Trial is the picture to show now.
func (t *EyeTest) Trial() Trial { return t.now }

// Ended reports whether the test has asked enough.
func (t *EyeTest) Ended() bool { return t.isEnded }

// Progress is how many pictures were answered and about how many there are.
func (t *EyeTest) Progress() (done, about int) {
	return t.n - 1, max(min(t.n-1+8, mostTrials), leastTrials+8)
}

// Answer takes the side that the person chose and moves on.
func (t *EyeTest) Answer(s Side) (right bool) {
	if t.isEnded {
		return false
	}
	right = s == t.now.Wide
	if right {
		t.right++
	} else if t.isEasy {
		t.slips++
	}
	t.grid.update(t.post, t.grid.level(t.now.Share), right)
	low, _, high := t.grid.interval(t.post)
	done := t.n
	t.isEnded = done >= mostTrials || done >= leastTrials && high/low <= goodRatio
	if !t.isEnded {
		t.next()
	}
	return right
}

func (t *EyeTest) next() {
	t.n++
	d := rand.New(rand.NewPCG(t.seed, 0xe1e+uint64(t.n)))
	level := t.grid.best(t.post)
	_, mid, _ := t.grid.interval(t.post)
	t.isEasy = t.n == 1 || t.n%easyEvery == 0
	if t.isEasy {
		easy := 4 * mid
		if t.n == 1 {
			easy = 0.5
		}
		level = t.grid.level(min(easy, maxShare))
	}
	side := Sides[d.IntN(len(Sides))]
	t.now = Trial{N: t.n, Share: t.grid.shares[level], Wide: side}
	t.now.Shot = eyeShot(t.seed*1000+uint64(t.n), t.now.Share, side, d)
}

// Result is the threshold as far as it is known by now.
func (t *EyeTest) Result(person string, at time.Time) Threshold {
	low, mid, high := t.grid.interval(t.post)
	done := t.n
	if !t.isEnded {
		done--
	}
	return Threshold{
		Person: person, Share: mid, Low95: low, High95: high, Trials: done,
		// At the ends of what was shown the interval is the range's, not the eye's.
		Sure:   done >= leastTrials && high/low <= sureRatio && low > minShare*1.05 && high < maxShare*0.95,
		HolePt: EyeHolePt, WidthPt: EyeWidthPt, At: at,
	}
}

// Slips is how many easy pictures were answered wrongly: a sign of haste.
func (t *EyeTest) Slips() int { return t.slips }

// eyeShot is a plain, evenly lit hole seen from straight above; its place, its
// tool marks and its noise are the trial's own.
func eyeShot(seed uint64, share float64, wide Side, d *rand.Rand) Shot {
	const px = EyePicturePt
	scale := EyeHolePt / 6.0 // a 6 mm bore
	s := Shot{
		Seed: seed, WidthPx: px, HeightPx: px, PxPerMM: scale,
		BoreMM: 6, ChamferMM: EyeWidthPt / scale, ThicknessMM: 10,
		OffX: (d.Float64() - 0.5) * 50, OffY: (d.Float64() - 0.5) * 50,
		Light: EvenLight, Backing: DarkBacking, Marks: 0.03, MarksRad: d.Float64() * math.Pi,
		DistanceMM: 400, Grain: 0.02,
	}
	s.NominalMM = s.ChamferMM
	s.Mismatch = model.Polar(share*s.ChamferMM, wide.ScreenRad())
	return s
}
