package synth

import (
	"encoding/json"
	"math"

	"evenrim/model"
)

// Truth is what a picture was drawn from, in the key names of the folders of
// photos with truth that evenrim bench reads (index.json). Lengths in mm, angles in
// degrees, pixels of the upright picture. Edges are the sharp virtual
// intersections, before rounding, roughness and damage.
type Truth struct {
	File    string  `json:"file"`
	ID      string  `json:"id"`
	Set     string  `json:"set"`
	Series  *string `json:"series"`
	Width   int     `json:"width"`
	Height  int     `json:"height"`
	Hole    bool    `json:"hole"`
	DX      float64 `json:"dx_mm"`
	DY      float64 `json:"dy_mm"`
	Bore    float64 `json:"bore_diameter_mm"`
	Chamfer float64 `json:"chamfer_width_mm"`
	Nominal float64 `json:"nominal_chamfer_width_mm"`
	Half    float64 `json:"chamfer_half_angle_deg"`
	Thick   float64 `json:"thickness_mm"`
	PxPerMM float64 `json:"px_per_mm"`
	PlusX   float64 `json:"plus_x_deg"`
	PlusY   float64 `json:"plus_y_deg"`
	// TiltX and TiltY are the lean of the line of sight at the hole towards +X and
	// +Y; slopes are their tangents. (A path-traced set may state the camera
	// body's own tilt under the same names.)
	TiltX         float64      `json:"tilt_x_deg"`
	TiltY         float64      `json:"tilt_y_deg"`
	SlopeX        float64      `json:"view_slope_x"`
	SlopeY        float64      `json:"view_slope_y"`
	Turn          float64      `json:"turn_deg"`
	Distance      *float64     `json:"working_distance_mm"` // null = parallel view
	Light         Light        `json:"lighting"`
	Azimuth       *float64     `json:"light_azimuth_deg"`
	AzimuthPart   *float64     `json:"light_azimuth_part_deg"`
	Backing       Backing      `json:"backing"`
	PSF           float64      `json:"psf_px"`
	Noise         Noise        `json:"noise"`
	Quality       int          `json:"jpeg_q"`
	Format        Format       `json:"format"`
	Orientation   int          `json:"exif_orientation"`
	K1            float64      `json:"k1"`
	Vignette      float64      `json:"vignette"`
	Cast          *[3]float64  `json:"colour_cast"`
	Defects       []Defect     `json:"defects"`
	Vanished      float64      `json:"missing_chamfer_arc_deg"`
	VanishedAt    *float64     `json:"missing_chamfer_centre_deg"`
	RoundUM       float64      `json:"edge_round_um"`
	RoughUM       float64      `json:"edge_rough_um"`
	Photo         Stats        `json:"photo"`
	Image         ImageTruth   `json:"image"`
	Seed          uint64       `json:"seed"`
	Clean         *Clean       `json:"clean,omitempty"`
	DrawnBy       string       `json:"drawn_by"`
	Camera        model.Camera `json:"-"`
	Solid         model.Solid  `json:"-"`
	HoleX         *float64     `json:"hole_x_mm,omitempty"`
	HoleY         *float64     `json:"hole_y_mm,omitempty"`
	RigidShift    []float64    `json:"rigid_shift_mm,omitempty"`
	RigidRotation *float64     `json:"rigid_rotation_deg,omitempty"`
}

// Noise is the sensor's.
type Noise struct {
	FullWellE float64 `json:"full_well_e"`
	ReadE     float64 `json:"read_e"`
}

// Defect is one piece of damage as the truth states it.
type Defect struct {
	Kind     DamageKind `json:"kind"`
	Centre   *float64   `json:"centre_deg"`
	Width    *float64   `json:"width_deg"`
	SizeUM   *float64   `json:"size_um,omitempty"`
	Edge     string     `json:"edge,omitempty"`
	Count    *int       `json:"count,omitempty"`
	Pos      []float64  `json:"pos_mm,omitempty"`
	Dir      *float64   `json:"dir_deg,omitempty"`
	LengthMM *float64   `json:"length_mm,omitempty"`
	RX       *float64   `json:"rx_mm,omitempty"`
	RY       *float64   `json:"ry_mm,omitempty"`
}

// Point is a pixel position, or null where there is none.
type Point *[2]float64

// ImageTruth is where the rims lie in the picture. Element i of each list belongs to
// the direction ThetaDeg[i] from the bore axis.
type ImageTruth struct {
	Convention  string     `json:"convention"`
	BoreAxis    [2]float64 `json:"bore_axis_z0"`
	ChamferAxis [2]float64 `json:"chamfer_axis_z0"`
	BoreExit    [2]float64 `json:"bore_axis_exit"`
	ThetaDeg    []float64  `json:"theta_deg"`
	Outer       []Point    `json:"outer_edge"` // null where the chamfer has vanished
	Bore        []Point    `json:"bore_edge"`
	BoreZ       []float64  `json:"bore_edge_z_mm"`
	Exit        []Point    `json:"exit_rim"` // whole, also where the bore edge hides it
}

const imageConvention = "u right, v down, pixels of the upright displayed image, pixel centres at integer coordinates; edges are the sharp virtual intersections without edge rounding, edge roughness or defects; null where the chamfer is absent"

// newTruth states the truth of a scene with its defaults filled in.
func newTruth(s Scene) Truth {
	deg := func(rad float64) float64 { return round(degrees(math.Remainder(rad, 2*math.Pi)), 5) }
	cam, sol := s.Camera(), s.Solid()
	t := Truth{
		Set: "synth", Width: s.Width, Height: s.Height, Hole: true,
		DX: round(s.Mismatch.X, 6), DY: round(s.Mismatch.Y, 6),
		Bore: s.BoreMM, Chamfer: round(s.ChamferMM, 6), Nominal: round(s.NominalMM, 6),
		Half: round(degrees(s.HalfAngle), 5), Thick: round(s.ThicknessMM, 5), PxPerMM: round(s.PxPerMM, 6),
		PlusX: deg(s.PlusX), TiltX: round(degrees(s.TiltX), 5), TiltY: round(degrees(s.TiltY), 5),
		SlopeX: round(cam.SlopeX, 7), SlopeY: round(cam.SlopeY, 7),
		Turn: round(math.Mod(degrees(s.turn)+360, 360), 5), Light: s.Light, Backing: s.Backing, PSF: round(s.BlurPx, 4), Noise: Noise{round(s.FullWellE, 1), round(s.ReadE, 2)},
		Quality: s.Quality, Format: s.Format, Orientation: s.Orientation, K1: s.K1, Vignette: round(s.Vignette, 4),
		RoundUM: round(1000*s.RoundMM, 3), RoughUM: round(1000*s.RoughMM, 3), Defects: []Defect{},
		Seed: s.Seed, Clean: s.Clean, DrawnBy: drawnBy, Camera: cam, Solid: sol,
	}
	if s.series != "" {
		t.Series = &s.series
	}
	if !s.Parallel {
		d := round(s.DistanceMM, 4)
		t.Distance = &d
	}
	if s.Light == Side || s.Light == Two || s.Light == Window {
		a, b := deg(s.LightAzimuth), deg(s.LightAzimuth-s.PlusX)
		t.Azimuth, t.AzimuthPart = &a, &b
	}
	if s.Cast != [3]float64{1, 1, 1} {
		c := s.Cast
		t.Cast = &c
	}
	for _, d := range s.Damage {
		t.Defects = append(t.Defects, newDefect(s, d))
	}
	if v := sol.VanishedArc(); v.WidthRad > 0 {
		c := deg(v.CentreRad)
		t.Vanished, t.VanishedAt = round(degrees(v.WidthRad), 3), &c
	}
	t.Image = newImageTruth(s, sol)
	o := newOptics(s)
	const h = 1e-4
	u, v := o.toPixel(model.Vec{Y: h}, 0)
	u0, v0 := o.toPixel(model.Vec{}, 0)
	t.PlusY = deg(math.Atan2(-(v - v0), u-u0))
	return t
}

func newImageTruth(s Scene, sol model.Solid) ImageTruth {
	o := newOptics(s)
	at := func(p model.Vec, z float64) [2]float64 {
		u, v := o.toPixel(p, z)
		return [2]float64{round(u, 4), round(v, 4)}
	}
	t := ImageTruth{Convention: imageConvention, BoreAxis: at(model.Vec{}, 0),
		ChamferAxis: at(s.Mismatch, 0), BoreExit: at(model.Vec{}, -s.ThicknessMM)}
	for deg := 0; deg < 360; deg += 5 {
		a := float64(deg) * math.Pi / 180
		rim := model.Polar(sol.RadiusMM, a)
		depth, _ := sol.ChamferDepth(a)
		t.ThetaDeg = append(t.ThetaDeg, float64(deg))
		var outer Point
		if p, present := sol.OuterEdge(a); present {
			q := at(p, 0)
			outer = &q
		}
		bore, exit := at(rim, -depth), at(rim, -s.ThicknessMM)
		t.Outer = append(t.Outer, outer)
		t.Bore = append(t.Bore, &bore)
		t.BoreZ = append(t.BoreZ, round(-depth, 6))
		t.Exit = append(t.Exit, &exit)
	}
	return t
}

func newDefect(s Scene, d Damage) Defect {
	f := func(x float64, digits int) *float64 { x = round(x, digits); return &x }
	arc := func(rad float64) *float64 { return f(degrees(math.Remainder(rad, 2*math.Pi)), 2) }
	out := Defect{Kind: d.Kind}
	switch d.Kind {
	case Gouge, Burr, ChipBore:
		out.Centre, out.Width, out.SizeUM = arc(d.AtRad), f(degrees(d.WidthRad), 2), f(1000*d.SizeMM, 2)
		out.Edge = "outer"
		if d.Kind == ChipBore || d.OnBore {
			out.Edge = "bore"
		}
	case Dust:
		out.SizeUM, out.Count = f(1000*d.SizeMM, 2), &d.Count
	case Scratch:
		out.Pos = []float64{round(d.Pos.X, 4), round(d.Pos.Y, 4)}
		out.Dir, out.LengthMM, out.SizeUM = arc(d.DirRad), f(d.LengthMM, 4), f(1000*d.SizeMM, 2)
		end := d.Pos.Add(model.Polar(d.LengthMM, d.DirRad))
		out.Centre, out.Width = arc(d.Pos.Add(end).Angle()), f(0, 1)
	case Smear:
		out.Pos = []float64{round(d.Pos.X, 4), round(d.Pos.Y, 4)}
		out.RX, out.RY = f(d.RXMM, 4), f(d.RYMM, 4)
		out.Centre = arc(d.Pos.Angle())
		out.Width = f(degrees(2*math.Atan2(max(d.RXMM, d.RYMM), max(d.Pos.Norm(), 1e-9))), 2)
	}
	return out
}

// JSON returns the truth as the object that stands beside a picture.
func (t Truth) JSON() ([]byte, error) { return json.MarshalIndent(t, "", " ") }
