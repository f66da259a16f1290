package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"evenrim/model"
	"evenrim/vision/synth"
)

// synthUse is what the flags of the synth verb ask for.
type synthUse struct {
	scene          synth.Scene
	out, set, film string
	count, turns   int
	seed           uint64
	noise          float64 // per cent
	random, clean  bool
	light, backing string
	depth          int
	damage         []string
	still          bool
	fps            float64
}

func newSynthCmd(a *app) *cobra.Command {
	u := &synthUse{}
	cmd := &cobra.Command{
		Use:   "synth --out PHOTO | --set DIR | --film DIR",
		Short: "Draw a synthetic photo, a set or a film, with exact truth beside it",
		Long: `Draws a photo of a chamfered bore from exact geometry and writes its truth
beside it: x.png and x.json, or a folder with index.json and readings.csv. The same flags
and the same seed give the same picture. What synth drew is drawn over when asked for again;
anything else under that name is refused.`,
		Example: `  evenrim synth --out x.png --dx 20um --dy -5um --bore 10mm --chamfer 0.25mm --light side --backing paper
  evenrim synth --out y.jpg --random --light window --seed 7
  evenrim synth --set photos --count 60 --seed 1
  evenrim synth --set turned --count 48 --turns 4
  evenrim synth --film frames --count 90 --width 1920 --height 1080`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return u.run(cmd.Context(), a, cmd.Flags()) },
	}
	f := cmd.Flags()
	f.StringVar(&u.out, "out", "", "the photo to write: a `file` name ending in .jpg or .png")
	f.StringVar(&u.set, "set", "", "write a set of random photos to this `folder`, the lights in turn")
	f.StringVar(&u.film, "film", "", "write the pictures of a film under a hand-held camera to this `folder`")
	f.IntVar(&u.count, "count", 0, "`number` of photos in a set or a film (default 60)")
	f.IntVar(&u.turns, "turns", 1, "`number` of photos of each hole of a set, the part turned between them")
	f.Uint64Var(&u.seed, "seed", 1, "`number` that texture, noise and random scenes follow from")
	f.BoolVar(&u.random, "random", false, "start from a random scene; the other flags then change it")
	u.partFlags(f)
	u.pictureFlags(f)
	return cmd
}

func (u *synthUse) partFlags(f *pflag.FlagSet) {
	s := &u.scene
	f.Var(&lengthFlag{mm: &s.Mismatch.X, eg: "20um"}, "dx", "mismatch along setup 2's X, a `length`")
	f.Var(&lengthFlag{mm: &s.Mismatch.Y, eg: "-5um"}, "dy", "mismatch along setup 2's Y, a `length`")
	f.Var(&lengthFlag{mm: &s.BoreMM, eg: "10mm", notZero: true}, "bore", "bore `diameter` (default 10mm)")
	f.Var(&lengthFlag{mm: &s.ChamferMM, eg: "0.25mm", notZero: true}, "chamfer", "true radial chamfer `width` (default 0.25mm)")
	f.Var(&lengthFlag{mm: &s.NominalMM, eg: "0.25mm", notZero: true}, "nominal", "chamfer `width` on the drawing (default: the true one)")
	f.Var(&lengthFlag{mm: &s.ThicknessMM, eg: "12mm", notZero: true}, "thickness", "part `thickness` (default 12mm)")
	f.Var(&angleFlag{rad: &s.HalfAngle, eg: "45", notZero: true}, "angle", "half-angle of the chamfer from the bore axis, `degrees` (default 45)")
	f.Var(&lengthFlag{mm: &s.RoundMM, eg: "8um"}, "round", "`radius` of the edges' rounding")
	f.Var(&lengthFlag{mm: &s.RoughMM, eg: "2um"}, "rough", "rms roughness of the edges, a `length`")
	f.StringArrayVar(&u.damage, "damage", nil, "damage: `kind@degrees` with kind gouge, burr, chip_bore, scratch or smear, or dust; may be repeated")
}

func (u *synthUse) pictureFlags(f *pflag.FlagSet) {
	s := &u.scene
	f.IntVar(&s.Width, "width", 0, "picture width, `pixels` (default 1600)")
	f.IntVar(&s.Height, "height", 0, "picture height, `pixels` (default 1200)")
	f.StringVar(&u.light, "light", "", "`light`: ring, dome, side, two, window or coaxial (default ring)")
	f.Var(&angleFlag{rad: &s.LightAzimuth, eg: "45"}, "light-from", "where the light comes from: `degrees` counter-clockwise from image-right")
	f.StringVar(&u.backing, "backing", "", "what lies under the bore: `dark, grey or paper` (default dark)")
	f.Var(&angleFlag{rad: &s.TiltX, eg: "2"}, "tilt-x", "lean of the line of sight towards +X, `degrees`")
	f.Var(&angleFlag{rad: &s.TiltY, eg: "-1"}, "tilt-y", "lean of the line of sight towards +Y, `degrees`")
	f.Var(&angleFlag{rad: &s.PlusX, eg: "0"}, "plus-x", "where +X points: `degrees` counter-clockwise from image-right")
	f.Var(&lengthFlag{mm: &s.DistanceMM, eg: "150mm", notZero: true}, "distance", "camera to hole, a `length` (default 150mm)")
	f.Float64Var(&s.PxPerMM, "scale", 0, "`pixels` a mm (default: the hole fills most of the height)")
	f.Float64Var(&s.OffX, "off-x", 0, "hole from the picture's centre, `pixels` to the right")
	f.Float64Var(&s.OffY, "off-y", 0, "hole from the picture's centre, `pixels` down")
	f.Float64Var(&s.K1, "k1", 0, "lens distortion at the picture's corner, a `share` of the distance")
	f.Float64Var(&s.BlurPx, "blur", 0, "sd of the blur, `pixels` (default 1)")
	f.Float64Var(&s.DefocusPx, "defocus", 0, "further blur of the exit rim, `pixels`")
	f.Float64Var(&u.noise, "noise", 0, "noise, `per cent` of full scale (at a quarter of full scale unless --clean)")
	f.Float64Var(&s.FaceLevel, "level", 0, "brightness of the face, linear, a `share` of full scale (default 0.22)")
	f.Float64Var(&s.Face.MarkSlope, "marks", 0, "rms `slope` of the tool marks, 0 to 1")
	f.Float64Var(&s.Chatter.Slope, "chatter", 0, "`slope` of the chamfer's chatter waves, 0 to 1")
	f.Float64Var(&s.Vignette, "vignette", 0, "loss of light at the corners, a `share`")
	f.IntVar(&s.Quality, "quality", 0, "JPEG quality, `1 to 100` (default 90)")
	f.IntVar(&s.Orientation, "orientation", 0, "EXIF orientation tag of a JPEG, `1 to 8`; the stored pixels are turned to suit (default 1)")
	f.IntVar(&u.depth, "depth", 8, "bits a channel, `8 or 16` (16: .png alone)")
	f.BoolVar(&u.clean, "clean", false, "flat levels, white noise, nothing else")
	f.BoolVar(&u.still, "still", false, "a film under a camera that stands still")
	f.Float64Var(&u.fps, "fps", 30, "pictures a second of a film, a `number`")
}

func (u *synthUse) run(ctx context.Context, a *app, f *pflag.FlagSet) error {
	var ways []string
	for _, w := range []string{"out", "set", "film"} {
		if f.Changed(w) {
			ways = append(ways, "--"+w)
		}
	}
	if len(ways) != 1 {
		return usage("Say what to draw by one of --out PHOTO, --set DIR or --film DIR.")
	}
	if f.Changed("count") && u.out != "" {
		return usage("--count goes with --set or --film: --out draws one photo.")
	}
	if f.Changed("turns") && u.set == "" {
		return usage("--turns goes with --set, which draws each hole so many times.")
	}
	if f.Changed("fps") && u.fps == 0 { // a Motion without one has 30
		return usage("--fps: a film has more than 0 pictures a second.")
	}
	// In a scene none means the usual: what is asked for by name isn't taken for that.
	for _, n := range []struct {
		flag string
		zero bool
		eg   string
	}{
		{"width", u.scene.Width == 0, "1600"}, {"height", u.scene.Height == 0, "1200"}, {"scale", u.scene.PxPerMM == 0, "100"}, {"blur", u.scene.BlurPx == 0, "1"},
		{"level", u.scene.FaceLevel == 0, "0.22"}, {"quality", u.scene.Quality == 0, "90"}, {"orientation", u.scene.Orientation == 0, "1"},
	} {
		if n.zero && f.Changed(n.flag) {
			return usage("--%s must be more than zero, for example %s.", n.flag, n.eg)
		}
	}
	if u.count == 0 && !f.Changed("count") {
		u.count = 60
	}
	if u.set != "" {
		if extra := u.others(f, "set", "count", "turns", "seed", "data"); len(extra) > 0 {
			return usage("--set draws random scenes of its own: leave out %s, or draw single photos with --out.", strings.Join(extra, ", "))
		}
		return sceneUsage(synth.WriteSet(ctx, u.set, u.count, u.turns, u.seed, u.progress(a)))
	}
	s, err := u.build(f)
	if err != nil {
		return err
	}
	if u.film != "" {
		m := synth.Handheld()
		if u.still {
			m = synth.Motion{}
		}
		m.FPS = u.fps
		return sceneUsage(synth.WriteFilm(ctx, u.film, s, u.count, m, u.progress(a)))
	}
	t, err := synth.Write(u.out, s)
	if err != nil {
		return sceneUsage(err)
	}
	a.say("Drew %s: mismatch (%+.1f, %+.1f) um, truth in %s.", u.out, 1000*t.DX, 1000*t.DY, synth.TruthPath(u.out))
	return nil
}

// others lists the flags given beyond the named ones.
func (u *synthUse) others(f *pflag.FlagSet, names ...string) (extra []string) {
	f.Visit(func(g *pflag.Flag) {
		if !slices.Contains(names, g.Name) {
			extra = append(extra, "--"+g.Name)
		}
	})
	return extra
}

func (u *synthUse) progress(a *app) func(int) {
	return func(i int) {
		if (i+1)%10 == 0 || i+1 == u.count {
			a.say("%d of %d drawn", i+1, u.count)
		}
	}
}

// build makes the scene that the flags describe.
func (u *synthUse) build(f *pflag.FlagSet) (synth.Scene, error) {
	s := u.scene
	s.Light, s.Backing = synth.Light(u.light), synth.Backing(u.backing)
	if u.random {
		kind := s.Light
		if kind == "" {
			kind = synth.Lights[u.seed%uint64(len(synth.Lights))]
		}
		if !slices.Contains(synth.Lights, kind) {
			return s, usage("There is no light %q: it is one of ring, dome, side, two, window, coaxial.", u.light)
		}
		s = u.over(synth.Random(u.seed, kind), f)
	}
	s.Seed = u.seed
	if u.noise < 0 || math.IsNaN(u.noise) || u.noise > 100 {
		return s, usage("The noise must be 0 to 100 per cent of full scale.")
	}
	share := u.noise / 100
	switch {
	case u.clean:
		s.Clean = &synth.Clean{NoiseSD: share}
	case f.Changed("noise"):
		s.FullWellE, s.ReadE = 0, 0
		if share > 0 {
			s.FullWellE = 0.25 / (share * share)
		}
	}
	switch {
	case u.depth == 16 && u.out != "" && !strings.HasSuffix(strings.ToLower(u.out), ".png"):
		return s, usage("16 bit needs a name that ends in .png.")
	case u.depth == 16:
		s.Format = synth.PNG16
	case u.depth != 8:
		return s, usage("--depth is 8 or 16.")
	}
	filled := s.WithDefaults()
	for _, text := range u.damage {
		d, err := parseDamage(text, filled)
		if err != nil {
			return s, err
		}
		s.Damage = append(s.Damage, d)
	}
	return s, nil
}

// over puts the fields whose flags were given over those of a random scene.
func (u *synthUse) over(r synth.Scene, f *pflag.FlagSet) synth.Scene {
	s := &u.scene
	put := func(flag string, set func()) {
		if f.Changed(flag) {
			set()
		}
	}
	type number struct {
		flag     string
		to, from *float64
	}
	for _, n := range []number{
		{"dx", &r.Mismatch.X, &s.Mismatch.X}, {"dy", &r.Mismatch.Y, &s.Mismatch.Y},
		{"bore", &r.BoreMM, &s.BoreMM}, {"chamfer", &r.ChamferMM, &s.ChamferMM}, {"nominal", &r.NominalMM, &s.NominalMM},
		{"thickness", &r.ThicknessMM, &s.ThicknessMM}, {"angle", &r.HalfAngle, &s.HalfAngle},
		{"round", &r.RoundMM, &s.RoundMM}, {"rough", &r.RoughMM, &s.RoughMM},
		{"light-from", &r.LightAzimuth, &s.LightAzimuth}, {"tilt-x", &r.TiltX, &s.TiltX}, {"tilt-y", &r.TiltY, &s.TiltY},
		{"plus-x", &r.PlusX, &s.PlusX}, {"distance", &r.DistanceMM, &s.DistanceMM}, {"scale", &r.PxPerMM, &s.PxPerMM},
		{"off-x", &r.OffX, &s.OffX}, {"off-y", &r.OffY, &s.OffY}, {"k1", &r.K1, &s.K1}, {"blur", &r.BlurPx, &s.BlurPx},
		{"defocus", &r.DefocusPx, &s.DefocusPx}, {"level", &r.FaceLevel, &s.FaceLevel}, {"marks", &r.Face.MarkSlope, &s.Face.MarkSlope},
		{"chatter", &r.Chatter.Slope, &s.Chatter.Slope}, {"vignette", &r.Vignette, &s.Vignette},
	} {
		put(n.flag, func() { *n.to = *n.from })
	}
	resized := f.Changed("width") || f.Changed("height") || f.Changed("bore") || f.Changed("chamfer")
	put("width", func() { r.Width = s.Width })
	put("height", func() { r.Height = s.Height })
	if resized && !f.Changed("scale") { // the hole keeps its share of the picture
		r.PxPerMM, r.OffX, r.OffY = 0, s.OffX, s.OffY
	}
	put("quality", func() { r.Quality = s.Quality })
	put("orientation", func() { r.Orientation = s.Orientation })
	put("backing", func() { r.Backing, r.BackingLevel = synth.Backing(u.backing), 0 })
	if !strings.HasSuffix(strings.ToLower(u.out), ".jpg") && !strings.HasSuffix(strings.ToLower(u.out), ".jpeg") {
		r.Orientation = max(s.Orientation, 1)
	}
	return r
}

// parseDamage reads "gouge@35" or "dust" and gives it plain measures for the scene.
func parseDamage(text string, s synth.Scene) (synth.Damage, error) {
	kind, at, has := strings.Cut(text, "@")
	d := synth.Damage{Kind: synth.DamageKind(kind)}
	var deg float64
	if has {
		var err error
		if deg, err = strconv.ParseFloat(at, 64); err != nil || math.Abs(deg) > 3600 || math.IsNaN(deg) {
			return d, usage("In the damage %q, %q is no number of degrees: write for example gouge@35.", text, at)
		}
	}
	d.AtRad, d.WidthRad = deg*math.Pi/180, 12*math.Pi/180
	outer, px := s.BoreMM/2+s.ChamferMM, 1/s.PxPerMM
	switch d.Kind {
	case synth.Gouge, synth.Burr, synth.ChipBore:
		d.SizeMM = min(0.03+px, 0.4*s.ChamferMM)
	case synth.Dust:
		d.Count, d.SizeMM = 10, 8*px
	case synth.Scratch: // across both edges
		d.Pos, d.DirRad = model.Polar(1.5*outer, d.AtRad), d.AtRad+math.Pi
		d.LengthMM, d.SizeMM = 0.7*outer, 2*px
	case synth.Smear:
		d.Pos, d.RXMM, d.RYMM = model.Polar(1.1*outer, d.AtRad), 0.5*outer, 0.35*outer
	default:
		return d, usage("There is no damage %q: it is gouge, burr, chip_bore, scratch, smear (each with @degrees) or dust.", text)
	}
	return d, nil
}

// sceneUsage turns what is wrong with a scene into wrong use.
func sceneUsage(err error) error {
	var se *synth.SceneError
	if errors.As(err, &se) {
		return usage("%s", se.Sentence)
	}
	var pe *fs.PathError
	switch {
	case err == nil || errors.Is(err, context.Canceled):
		return err
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("There is no such folder to write to: make it first, or give another name.")
	case errors.Is(err, fs.ErrPermission):
		return errors.New("That folder may not be written to: give another one.")
	case errors.As(err, &pe):
		return fmt.Errorf("The pictures could not be written (%w): look for room on the disk, or give another folder.", pe.Err)
	}
	return fmt.Errorf("The pictures could not be drawn: %w", err)
}
