package synth

import (
	"fmt"
	"math"

	"evenrim/model"
)

// Light is the kind of light a photo is taken in.
type Light string

const (
	Ring    Light = "ring"    // lamps in a circle round the lens; also the zero value's meaning
	Dome    Light = "dome"    // light from everywhere
	Side    Light = "side"    // one lamp from LightAzimuth
	Two     Light = "two"     // two lamps facing each other
	Window  Light = "window"  // one large soft source
	Coaxial Light = "coaxial" // light along the line of sight
)

// Lights lists every kind of light.
var Lights = []Light{Ring, Dome, Side, Two, Window, Coaxial}

// Backing is what lies under the bore.
type Backing string

const (
	Dark  Backing = "dark" // also the zero value's meaning
	Grey  Backing = "grey"
	Paper Backing = "paper"
)

// Backings lists every kind of backing.
var Backings = []Backing{Dark, Grey, Paper}

// Format is how a picture is stored.
type Format string

const (
	JPEG  Format = "jpg" // 8 bit, Quality; also the zero value's meaning
	PNG   Format = "png" // 8 bit
	PNG16 Format = "png16"
)

// Scene is everything a picture is drawn from. The zero value is a sound scene:
// a plain 10 mm bore with a 0.25 mm chamfer, no mismatch, seen straight from above
// in ring light over a dark backing, without texture, damage or noise. Zero
// always means the default named beside a field; an effect's zero is its absence.
type Scene struct {
	Seed          uint64 // of texture, roughness and noise
	Frame         uint64 // of the noise alone: pictures of a series differ by it
	Width, Height int    // px of the upright picture; 0 = 1600 and 1200

	// The part, mm and radians.
	Mismatch    model.Vec // chamfer axis minus bore axis
	BoreMM      float64   // diameter; 0 = 10
	ChamferMM   float64   // true radial width; 0 = 0.25
	NominalMM   float64   // width on the drawing; 0 = ChamferMM
	HalfAngle   float64   // from the bore axis; 0 = 45 degrees
	ThicknessMM float64   // 0 = 12

	// The camera.
	OffX, OffY   float64 // bore axis on the face minus picture centre, px
	PxPerMM      float64 // at the bore axis on the face; 0 = hole fills 62 % of the height
	DistanceMM   float64 // hole to camera; 0 = 150
	Parallel     bool    // camera infinitely far: DistanceMM is ignored
	TiltX, TiltY float64 // the line of sight at the hole leans by this towards part +X, +Y
	PlusX        float64 // rad counter-clockwise on the screen from image-right to +X
	// K1 is lens distortion: a ray that a pinhole would put at c + q lands where
	// q = p(1 + K1 |p|²), p from the picture's centre c in half diagonals.
	K1 float64

	// Light and backing.
	Light          Light
	LightAzimuth   float64 // rad on the screen, counter-clockwise, of side, two and window
	LightElevation float64 // rad above the face of the lamps (ring: above the lens's own plane); 0 = by kind
	LightSize      float64 // rad, angular radius of the lamps; 0 = by kind
	Ambient        float64 // of stray light against the lamps; 0 = 0.05, negative = none
	Backing        Backing
	BackingLevel   float64 // its level in the open, linear; 0 = by kind (0.002, 0.07, 0.25)
	FaceLevel      float64 // mean level of the face, linear 0..1; 0 = 0.22

	// Surfaces.
	Face    Finish
	Chatter Chatter
	// The bore wall mirrors WallSheen of the backing (0 = 0.6), and daylight from the
	// mouth adds WallGlow of the face's level at the top (0 = 0.1).
	WallSheen, WallGlow float64
	RoundMM             float64 // radius of the rounding of both edges
	RoughMM             float64 // rms of each edge's departure from its circle
	Damage              []Damage

	// Optics and sensor.
	BlurPx      float64    // sd of the Gaussian blur; 0 = 1; see MinBlurPx
	DefocusPx   float64    // extra blur (sd) of the exit rim and backing alone
	Vignette    float64    // loss at the picture's corners, 0..1
	FullWellE   float64    // electrons at level 1; 0 = no shot or read noise
	ReadE       float64    // read noise, electrons
	Cast        [3]float64 // gain of red, green, blue; 0 = 1
	Format      Format
	Quality     int // of JPEG, 1 to 100; 0 = 90
	Orientation int // EXIF tag of JPEG, 1 to 8; 0 = 1. The stored pixels are turned to suit

	// Clean, when set, replaces light, texture, rounding, vignetting, colour and noise
	// by flat levels and white noise. Roughness, edge damage and defocus stay.
	Clean *Clean

	// KeepMean keeps the noise-free picture too, at 12 bytes a pixel.
	KeepMean bool

	turn   float64 // by Turned, since the first photo
	series string  // that the photo belongs to, "" = none
}

// Clean is the plain image model of the Cramér-Rao bound: four flat levels
// (linear, 0..1), no texture, white Gaussian noise of one sd, grey.
type Clean struct {
	Face, Chamfer, Wall, Backing float64 // all four 0 = 0.60, 0.42, 0.28, 0.78
	NoiseSD                      float64 // of each pixel, of full scale
}

// Finish is the face's milled texture. Slopes are those of the surface across
// the marks, rms; they act through the light like a real surface's.
type Finish struct {
	MarkSlope  float64 // rms slope of the tool marks
	FineSlope  float64 // rms slope of the fine streaks
	FeedMM     float64 // distance of neighbouring marks; 0 = 0.15
	RadiusMM   float64 // of the marks' arcs; 0 = straight
	Direction  float64 // rad, part axes, from the hole towards the arcs' centre
	CrossSlope float64 // rms slope of a second, crossing set of marks
	Grain      float64 // rms of fine grain, of the level
	Gloss      float64 // rms micro slope along the marks; 0 = 0.06
}

// Chatter is the chamfer's texture.
type Chatter struct {
	Slope float64 // amplitude of the waves' slope round the rim
	Waves int     // round the rim; 0 = 72
	Grain float64 // rms slope of fine grain
	Gloss float64 // rms micro slope; 0 = 0.10
	Broad float64 // share of the light that goes into a wide lobe; 0 = 0.5
}

// Limits of a scene; wide enough for any photo the program would read.
const (
	MinSidePx, MaxSidePx = 64, 12000
	MaxPixels            = 64e6
	// MinBlurPx is the least blur: below it pixels alias and no rim has a place.
	MinBlurPx, MaxBlurPx = 0.3, 30.0
)

// WithDefaults returns s with every zero that stands for a default filled in.
func (s Scene) WithDefaults() Scene {
	def := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	if s.Width == 0 {
		s.Width = 1600
	}
	if s.Height == 0 {
		s.Height = 1200
	}
	def(&s.BoreMM, 10)
	def(&s.ChamferMM, 0.25)
	def(&s.NominalMM, s.ChamferMM)
	def(&s.HalfAngle, math.Pi/4)
	def(&s.ThicknessMM, 12)
	def(&s.PxPerMM, 0.62*float64(min(s.Width, s.Height))/(s.BoreMM+2*s.ChamferMM))
	def(&s.DistanceMM, 150)
	def(&s.Ambient, 0.05)
	def(&s.FaceLevel, 0.22)
	def(&s.Face.FeedMM, 0.15)
	def(&s.Face.Gloss, 0.06)
	def(&s.Chatter.Gloss, 0.10)
	def(&s.Chatter.Broad, 0.5)
	def(&s.WallSheen, 0.6)
	def(&s.WallGlow, 0.1)
	def(&s.BlurPx, 1)
	for i := range s.Cast {
		def(&s.Cast[i], 1)
	}
	if s.Light == "" {
		s.Light = Ring
	}
	def(&s.LightElevation, defaultElevation(s.Light))
	if s.Backing == "" {
		s.Backing = Dark
	}
	def(&s.BackingLevel, map[Backing]float64{Dark: 0.002, Grey: 0.07, Paper: 0.25}[s.Backing])
	if s.Format == "" {
		s.Format = JPEG
	}
	if s.Quality == 0 {
		s.Quality = 90
	}
	if s.Orientation == 0 {
		s.Orientation = 1
	}
	if s.Chatter.Waves == 0 {
		s.Chatter.Waves = 72
	}
	if s.Clean != nil {
		c := *s.Clean
		if c.Face == 0 && c.Chamfer == 0 && c.Wall == 0 && c.Backing == 0 {
			c.Face, c.Chamfer, c.Wall, c.Backing = 0.60, 0.42, 0.28, 0.78
		}
		s.Clean = &c
	}
	return s
}

// Camera returns the camera of s (with its defaults filled in), without lens
// distortion.
func (s Scene) Camera() model.Camera {
	c := model.Camera{
		CX: float64(s.Width-1) / 2, CY: float64(s.Height-1) / 2,
		PxPerMM: s.PxPerMM, SlopeX: math.Tan(s.TiltX), SlopeY: math.Tan(s.TiltY), PlusX: s.PlusX,
	}
	c.U0, c.V0 = c.CX+s.OffX, c.CY+s.OffY
	if !s.Parallel {
		c.InvDistPerMM = 1 / s.DistanceMM
	}
	return c
}

// Solid returns the machined shape of s (with its defaults filled in).
func (s Scene) Solid() model.Solid {
	return model.Solid{RadiusMM: s.BoreMM / 2, WidthMM: s.ChamferMM, ThicknessMM: s.ThicknessMM,
		HalfAngle: s.HalfAngle, Mismatch: s.Mismatch}
}

// Turned returns s with the part turned by rad counter-clockwise, seen from above,
// about the bore axis, camera and light staying where they are: the next photo
// of a turn set, with noise of its own.
func (s Scene) Turned(rad float64) Scene {
	s = s.WithDefaults()
	// Where the new +X will be seen: tilt and perspective skew angles a little.
	p := s.Camera().Projector()
	const h = 1e-4
	u0, v0 := p.ToPhoto(0, 0, 0)
	u, v := p.ToPhoto(h*math.Cos(rad), h*math.Sin(rad), 0)
	lean := model.Vec{X: math.Tan(s.TiltX), Y: math.Tan(s.TiltY)}.Rotate(-rad)
	s.TiltX, s.TiltY = math.Atan(lean.X), math.Atan(lean.Y)
	s.PlusX = math.Atan2(v0-v, u-u0)
	s.turn = math.Remainder(s.turn+rad, 2*math.Pi)
	s.Frame++
	return s
}

// JobCard returns what the drawing says of s (with its defaults filled in).
func (s Scene) JobCard() model.JobCard {
	return model.JobCard{BoreMM: s.BoreMM, ChamferMM: s.NominalMM, HalfAngle: s.HalfAngle,
		ThicknessMM: s.ThicknessMM, PlusX: s.PlusX}
}

// SceneError says which field of a scene is wrong and what to do.
type SceneError struct{ Field, Sentence string }

func (e *SceneError) Error() string { return e.Sentence }

func badScene(field, format string, a ...any) error {
	return &SceneError{field, fmt.Sprintf(format, a...)}
}
