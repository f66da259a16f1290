package synth

import (
	"errors"
	"math"
	"slices"

	"evenrim/model"
)

// Validate returns the first thing wrong with s, a *SceneError, or nil. It is to
// be called on a scene with its defaults filled in.
func (s Scene) Validate() error {
	for _, check := range []func(Scene) error{validPart, validCamera, validLight, validSurface, validSensor, validDamage} {
		if err := check(s); err != nil {
			return err
		}
	}
	return nil
}

func within(x, lo, hi float64) bool { return x >= lo && x <= hi } // false for NaN

func validPart(s Scene) error {
	if err := s.JobCard().WithDefaults().Validate(); err != nil {
		var fe *model.FieldError
		if errors.As(err, &fe) {
			return &SceneError{fe.Field, fe.Sentence}
		}
		return err
	}
	r := s.BoreMM / 2
	switch {
	case !within(s.ChamferMM, 0.001, r*0.99):
		return badScene("chamfer", "The true chamfer width must lie between 0.001 mm and the bore's radius (%.4g mm); it is %.4g mm.", r, s.ChamferMM)
	case !within(s.ThicknessMM, 0.01, model.MaxThicknessMM):
		return badScene("thickness", "The thickness must lie between 0.01 and %g mm.", model.MaxThicknessMM)
	case !within(s.Mismatch.Norm(), 0, r/2):
		return badScene("mismatch", "The mismatch must be shorter than a quarter of the bore (%.4g mm).", s.BoreMM/4)
	case (s.ChamferMM+s.Mismatch.Norm())/math.Tan(s.HalfAngle) >= s.ThicknessMM:
		return badScene("thickness", "The chamfer would reach through the part: give a thickness of more than %.4g mm.", (s.ChamferMM+s.Mismatch.Norm())/math.Tan(s.HalfAngle))
	}
	return nil
}

func validCamera(s Scene) error {
	w, h := float64(s.Width), float64(s.Height)
	lean := math.Hypot(math.Tan(s.TiltX), math.Tan(s.TiltY))
	switch {
	case s.Width < MinSidePx || s.Height < MinSidePx || s.Width > MaxSidePx || s.Height > MaxSidePx:
		return badScene("size", "The picture must be %d to %d pixels on each side; it is %d x %d.", MinSidePx, MaxSidePx, s.Width, s.Height)
	case w*h > MaxPixels:
		return badScene("size", "A picture of %.0f million pixels is too large: stay below %.0f million.", w*h/1e6, MaxPixels/1e6)
	case !within(s.PxPerMM, 0.5, 1e5) || s.PxPerMM*s.BoreMM < 10:
		return badScene("scale", "The bore would be %.3g pixels wide: give a scale between 0.5 and 100000 px/mm that makes it at least 10.", s.PxPerMM*s.BoreMM)
	case s.PxPerMM*s.BoreMM > 20*(w+h):
		return badScene("scale", "The bore would be %.3g pixels wide, far more than the picture: give a smaller scale.", s.PxPerMM*s.BoreMM)
	case !within(s.TiltX, -0.7, 0.7) || !within(s.TiltY, -0.7, 0.7) || lean > 0.8*math.Tan(s.HalfAngle):
		return badScene("tilt", "The camera leans too far: the chamfer's near side must stay in view, so keep the tilt below %.3g degrees.", math.Atan(0.8*math.Tan(s.HalfAngle))*180/math.Pi)
	case !s.Parallel && !within(s.DistanceMM, 2*s.BoreMM, 1e7):
		return badScene("distance", "The camera must stand at least twice the bore away (%.4g mm).", 2*s.BoreMM)
	case !within(s.OffX, -w, w) || !within(s.OffY, -h, h):
		return badScene("offset", "The hole would lie far outside the picture.")
	case !s.Parallel && math.Hypot(w+math.Abs(s.OffX), h+math.Abs(s.OffY))/2 > s.PxPerMM*s.DistanceMM:
		return badScene("distance", "The picture would span more than 90 degrees: move the camera back or give a larger scale.")
	case !within(math.Abs(s.PlusX), 0, 100):
		return badScene("plus-x", "The direction of +X must be a number of degrees.")
	case !within(s.K1, -0.2, 0.2):
		return badScene("k1", "The lens distortion must lie between -0.2 and 0.2.")
	}
	return nil
}

func validLight(s Scene) error {
	switch {
	case !slices.Contains(Lights, s.Light):
		return badScene("light", "There is no light %q: it is one of ring, dome, side, two, window, coaxial.", string(s.Light))
	case !slices.Contains(Backings, s.Backing):
		return badScene("backing", "There is no backing %q: it is one of dark, grey, paper.", string(s.Backing))
	case !within(math.Abs(s.LightAzimuth), 0, 100):
		return badScene("light-from", "The light's direction must be a number of degrees.")
	case !within(s.LightElevation, 0.03, 1.5):
		return badScene("light-height", "The light's height must be 2 to 85 degrees above the face.")
	case !within(s.LightSize, 0, 1):
		return badScene("light-size", "The lamps' angular radius must be 0 to 57 degrees.")
	case !within(s.Ambient, -1, 100):
		return badScene("ambient", "The stray light must be a number from 0 to 100.")
	case !within(s.BackingLevel, 0, 20):
		return badScene("backing", "The backing's level must lie between 0 and 20 of full scale.")
	case !within(s.FaceLevel, 1e-4, 20):
		return badScene("level", "The face's level must lie between 0.0001 and 20 of full scale.")
	}
	return nil
}

func validSurface(s Scene) error {
	f, c := s.Face, s.Chatter
	switch {
	case !within(f.MarkSlope, 0, 1) || !within(f.FineSlope, 0, 1) || !within(f.CrossSlope, 0, 1):
		return badScene("marks", "Slopes of tool marks must be 0 to 1.")
	case !within(f.FeedMM, 0.001, 100) || !within(f.RadiusMM, 0, 1e6) || !within(math.Abs(f.Direction), 0, 100):
		return badScene("marks", "The tool marks need a distance of 0.001 to 100 mm and a radius of up to 1000000 mm (0 = straight).")
	case !within(f.Grain, 0, 1) || !within(c.Grain, 0, 1) || !within(c.Slope, 0, 1):
		return badScene("texture", "Grain and chatter must be 0 to 1.")
	case !within(f.Gloss, 0.005, 1) || !within(c.Gloss, 0.005, 1):
		return badScene("gloss", "Gloss slopes must be 0.005 to 1.")
	case !within(c.Broad, 0, 1) || !within(s.WallSheen, 0, 1) || !within(s.WallGlow, 0, 10):
		return badScene("wall", "The wide lobe's share and the wall's sheen must be 0 to 1, its glow 0 to 10.")
	case c.Waves < 1 || c.Waves > 2000:
		return badScene("chatter", "Chatter has 1 to 2000 waves round the rim.")
	case !within(s.RoundMM, 0, s.ChamferMM):
		return badScene("round", "The edges' rounding must be 0 to the chamfer's width (%.4g mm).", s.ChamferMM)
	case !within(s.RoughMM, 0, 0.1):
		return badScene("rough", "The edges' roughness must be 0 to 0.1 mm.")
	}
	return nil
}

func validSensor(s Scene) error {
	switch {
	case !within(s.BlurPx, MinBlurPx, MaxBlurPx):
		return badScene("blur", "The blur must be %g to %g pixels (standard deviation).", MinBlurPx, MaxBlurPx)
	case !within(s.DefocusPx, 0, 200):
		return badScene("defocus", "The defocus must be 0 to 200 pixels.")
	case !within(s.Vignette, 0, 0.95):
		return badScene("vignette", "Vignetting must be 0 to 0.95.")
	case s.FullWellE != 0 && !within(s.FullWellE, 1, 1e9) || !within(s.ReadE, 0, 1e6):
		return badScene("noise", "The sensor needs 1 to 1e9 electrons at full scale (0 = no noise) and 0 to 1e6 of read noise.")
	case s.FullWellE == 0 && s.ReadE > 0:
		return badScene("noise", "Read noise needs a full well: give the electrons at full scale too.")
	case !within(s.Cast[0], 0.05, 20) || !within(s.Cast[1], 0.05, 20) || !within(s.Cast[2], 0.05, 20):
		return badScene("cast", "The colour cast's gains must be 0.05 to 20.")
	case s.Format != JPEG && s.Format != PNG && s.Format != PNG16:
		return badScene("format", "There is no format %q: it is jpg, png or png16.", string(s.Format))
	case s.Quality < 1 || s.Quality > 100:
		return badScene("quality", "JPEG quality is 1 to 100.")
	case s.Orientation < 1 || s.Orientation > 8:
		return badScene("orientation", "The EXIF orientation is 1 to 8.")
	case s.Orientation != 1 && s.Format != JPEG:
		return badScene("orientation", "Only a JPEG carries an orientation: store as jpg or leave the orientation at 1.")
	case s.Clean != nil && !(within(s.Clean.Face, 0, 1) && within(s.Clean.Chamfer, 0, 1) && within(s.Clean.Wall, 0, 1) && within(s.Clean.Backing, 0, 1)):
		return badScene("clean", "The clean levels must be 0 to 1.")
	case s.Clean != nil && !within(s.Clean.NoiseSD, 0, 1):
		return badScene("noise", "The clean noise must be 0 to 1 of full scale.")
	}
	return nil
}
