package plan

import (
	"math"

	"evenrim/model"
)

// Eye is what a person catches by looking: the smallest mismatch as a share of the
// chamfer's width, with its 95 % interval.
type Eye struct {
	Person           string // "" = nobody was tested
	Share, Low, High float64
}

// UntestedEye is used until the Apprentice page has tested a person (a start, no
// source).
var UntestedEye = Eye{Share: 0.08, Low: 0.04, High: 0.16}

// See asks which chamfer shows a mismatch of the tolerance.
type See struct {
	Eye         Eye
	Camera      Camera
	Light       Light
	ToleranceMM float64
	BoreMM      float64
	Inch        bool // the table is to show the sizes of an inch shop
}

// Validate returns the first *InputError of s, or nil.
func (s See) Validate() error {
	if err := s.Camera.Validate(); err != nil {
		return err
	}
	switch {
	case !(s.ToleranceMM > 0) || s.ToleranceMM > 1:
		return wrong("tolerance", "The tolerance must be more than nothing and at most 1 mm: check the unit.")
	case !(s.BoreMM >= 0.2) || s.BoreMM > 500:
		return wrong("bore", "The bore diameter is 0.2 to 500 mm: check the unit.")
	case !(s.Eye.Share > 0) || s.Eye.Share > 1 || s.Eye.Low > s.Eye.Share || s.Eye.High < s.Eye.Share:
		return wrong("eye", "What the eye catches is a share of the chamfer's width, 1 to 100 %%.")
	}
	return nil
}

// Shows grades how well something shows a mismatch of the tolerance.
type Shows int

const (
	No Shows = iota
	Barely
	Well
)

// Chamfer is one width on one bore.
type Chamfer struct {
	BoreMM, WidthMM float64
	// EyeMM is the smallest mismatch the eye catches, with its 95 % interval.
	EyeMM, EyeLowMM, EyeHighMM float64
	// CameraMM is the 95 % uncertainty of a photo from as near as the camera goes,
	// +Inf when the rims cannot be told apart.
	CameraMM    float64
	ByEye       Shows
	ByCamera    Shows
	Vanishes    bool // a mismatch of the tolerance leaves no chamfer on one side
	PxPerMM     float64
	DistanceMM  float64
	WidthPixels float64
}

// Both says that eye and camera both show it.
func (c Chamfer) Both() bool { return c.ByEye != No && c.ByCamera != No && !c.Vanishes }

// At grades one width on one bore.
func (s See) At(boreMM, widthMM float64) Chamfer {
	c := Chamfer{BoreMM: boreMM, WidthMM: widthMM, EyeMM: s.Eye.Share * widthMM, EyeLowMM: s.Eye.Low * widthMM, EyeHighMM: s.Eye.High * widthMM}
	c.DistanceMM = s.Camera.Nearest(boreMM + 2*widthMM)
	c.PxPerMM = s.Camera.PxPerMM(c.DistanceMM)
	c.WidthPixels = widthMM * c.PxPerMM
	c.CameraMM = math.Inf(1)
	if c.WidthPixels >= leastWidthPx {
		c.CameraMM = ReadingU95(c.PxPerMM, widthMM, s.Light)
	}
	c.Vanishes = widthMM <= s.ToleranceMM
	switch {
	case c.EyeHighMM <= s.ToleranceMM:
		c.ByEye = Well
	case c.EyeMM <= s.ToleranceMM:
		c.ByEye = Barely
	}
	switch {
	case c.CameraMM <= s.ToleranceMM/4:
		c.ByCamera = Well
	case c.CameraMM <= s.ToleranceMM/2:
		c.ByCamera = Barely
	}
	return c
}

// Sight is the answer: a range of widths for the bore, and a table round it.
type Sight struct {
	See See
	// EyeMostMM is the widest chamfer on which the eye catches the tolerance, with its
	// 95 % interval: the wider the chamfer, the less it shows by eye.
	EyeMostMM, EyeMostLowMM, EyeMostHighMM float64
	// CameraLeastMM is the narrowest one that the camera reads well on this bore;
	// +Inf when there is none.
	CameraLeastMM float64
	// LeastMM and MostMM bound the widths that serve both; Fits is false when there
	// are none.
	LeastMM, MostMM float64
	Fits            bool
	Widths, Bores   []float64
	Table           [][]Chamfer // by bore, by width
	Curve           []Chamfer   // over widths for the bore asked about, for the plot
}

// Widths and bores of the table: what shops cut, in millimetres and in inches.
var (
	tableWidths = []float64{0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.75, 1}
	tableBores  = []float64{3, 5, 8, 12, 16, 25, 40}
	inchWidths  = inches(0.002, 0.004, 0.006, 0.008, 0.010, 0.012, 0.016, 0.020, 0.030, 0.040)
	inchBores   = inches(0.125, 0.25, 0.375, 0.5, 0.75, 1, 1.5)
)

func inches(in ...float64) (mm []float64) {
	for _, v := range in {
		mm = append(mm, model.MMPerInch*v)
	}
	return mm
}

// roomOverTolerance is how much wider than the tolerance a chamfer is to be, so
// that a mismatch of the tolerance leaves something of it all round.
const roomOverTolerance = 1.5

// Look answers which chamfer shows a mismatch of the tolerance.
func (s See) Look() (Sight, error) {
	if err := s.Validate(); err != nil {
		return Sight{}, err
	}
	widths, bores := tableWidths, tableBores
	if s.Inch {
		widths, bores = inchWidths, inchBores
	}
	o := Sight{See: s, Widths: widths,
		EyeMostMM: s.ToleranceMM / s.Eye.Share, EyeMostLowMM: s.ToleranceMM / s.Eye.High, EyeMostHighMM: s.ToleranceMM / s.Eye.Low}
	most := math.Min(math.Max(1.6*o.EyeMostMM, 0.4), s.BoreMM/2)
	o.CameraLeastMM = math.Inf(1)
	const steps = 240
	for i := 1; i <= steps; i++ {
		c := s.At(s.BoreMM, most*float64(i)/steps)
		o.Curve = append(o.Curve, c)
		if c.ByCamera != No && math.IsInf(o.CameraLeastMM, 1) {
			o.CameraLeastMM = c.WidthMM
		}
	}
	o.LeastMM = math.Max(o.CameraLeastMM, roomOverTolerance*s.ToleranceMM)
	o.MostMM = math.Min(o.EyeMostMM, s.BoreMM/2)
	o.Fits = o.LeastMM <= o.MostMM
	placed := false
	for _, b := range bores {
		const same = 1e-6 // a bore of the table, typed in its unit
		if !placed && b >= s.BoreMM-same {
			if b > s.BoreMM+same {
				o.Bores = append(o.Bores, s.BoreMM)
			}
			placed = true
		}
		o.Bores = append(o.Bores, b)
	}
	if !placed {
		o.Bores = append(o.Bores, s.BoreMM)
	}
	for _, b := range o.Bores {
		var row []Chamfer
		for _, w := range o.Widths {
			row = append(row, s.At(b, w))
		}
		o.Table = append(o.Table, row)
	}
	return o, nil
}
