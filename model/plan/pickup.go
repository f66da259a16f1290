package plan

import (
	"math"

	"evenrim/model"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Side is which way a face looks on the drawing.
type Side string

const (
	Right Side = "right" // towards +X
	Rear  Side = "rear"  // towards +Y
	Left  Side = "left"
	Front Side = "front"
)

// Sides lists them.
var Sides = []Side{Left, Right, Front, Rear}

// Normal is the outward direction; ok is false for another word.
func (s Side) Normal() (n model.Vec, ok bool) {
	switch s {
	case Right:
		return model.Vec{X: 1}, true
	case Left:
		return model.Vec{X: -1}, true
	case Rear:
		return model.Vec{Y: 1}, true
	case Front:
		return model.Vec{Y: -1}, true
	}
	return model.Vec{}, false
}

// Across says that the face's place is an X.
func (s Side) Across() bool { return s == Left || s == Right }

// Face is a finished face of the part that can still be touched.
type Face struct {
	Side Side
	AtMM float64 // its X (left, right) or Y (front, rear) on the drawing
	// Touches are machine positions, mm: of the ball's centre or of the point of
	// contact, see PickUp.RadiusIncluded.
	Touches []model.Vec
}

// PickUp finds part zero anew from two finished faces.
type PickUp struct {
	A, B Face
	// RadiusIncluded: the touches are points of contact, the control having taken the
	// stylus's radius into account. Otherwise they are where the ball's centre was.
	RadiusIncluded bool
	StylusMM       float64 // diameter of the ball; counts when RadiusIncluded is false
	ProbeSDMM      float64 // standard deviation of one touch
	FormMM         float64 // peak to valley of the faces
	RadiusMM       float64 // limits (+/-) of the effective radius
	FaceMM         float64 // limits (+/-) of each face's place against the drawing
	Feature        model.Vec
	// Check is a third finished face, not used for the offset, to verify on.
	Check        Side
	CheckAtMM    float64
	CheckAlongMM float64 // where on it, along the other axis of the drawing
}

// Found is what the touches say. Drawing place p lies at Offset + turned(p) in the
// machine.
type Found struct {
	PickUp      PickUp
	Offset      model.Vec // work offset: machine place of part zero, mm
	RotationRad float64   // part against machine, counter-clockwise from above
	Cov         [3][3]float64
	Residuals   []float64 // mm, A's touches then B's: + = outside of the face found
	DOF         int       // touches beyond the three that are needed
	// PValue is how likely such residuals are by chance; NaN without spare touches.
	PValue float64
	// FeatureAt is where the new feature goes in the machine's own axes, with its
	// covariance; before turning the axes by RotationRad.
	FeatureAt  model.Vec
	FeatureCov model.Sym2
	// CheckAt is what the machine shows, about, where the check face is touched, and
	// CheckReads what the new work offset, its axes turned by RotationRad, has to show
	// there along the face's axis: both of contact or ball centre, as the touches were given.
	CheckAt    model.Vec
	CheckReads float64
	CheckU95MM float64 // a reading further off than this is no chance
	Warnings   []string
}

// OffsetU95MM is the radius of the 95 % region of the work offset.
func (f Found) OffsetU95MM() float64 {
	return model.U95(model.Sym2{XX: f.Cov[0][0], XY: f.Cov[0][1], YY: f.Cov[1][1]})
}

// RotationU95Rad is the 95 % uncertainty of the rotation.
func (f Found) RotationU95Rad() float64 { return model.Factor95 * math.Sqrt(f.Cov[2][2]) }

// Validate returns the first *InputError of p, or nil.
func (p PickUp) Validate() error {
	for _, q := range []struct {
		field string
		face  Face
	}{{"face-a", p.A}, {"face-b", p.B}} {
		if _, ok := q.face.Side.Normal(); !ok {
			return wrong(q.field, "A face looks left, right, front or rear.")
		}
		if len(q.face.Touches) == 0 {
			return wrong(q.field, "Type where the face was touched: machine X and Y, one touch a line.")
		}
		for _, t := range q.face.Touches {
			if !t.IsFinite() || t.Norm() > 1e5 {
				return wrong(q.field, "A touch at %.4g, %.4g is on no machine: check it.", t.X, t.Y)
			}
		}
		if math.IsNaN(q.face.AtMM) || math.Abs(q.face.AtMM) > maxPartMM {
			return wrong(q.field, "The face's place on the drawing is out of range.")
		}
	}
	switch {
	case p.A.Side.Across() == p.B.Side.Across():
		return wrong("face-b", "Two faces that look along the same axis leave the other axis open: choose one of left or right and one of front or rear.")
	case len(p.A.Touches) < 2 && len(p.B.Touches) < 2:
		return wrong("face-a", "One touch on each face does not tell how the part is turned: touch the longer face at two places, far apart.")
	case !p.RadiusIncluded && !(p.StylusMM > 0 && p.StylusMM < 50):
		return wrong("stylus", "The touches are of the ball's centre, so its diameter is needed, for example 4 mm.")
	case p.RadiusIncluded && p.StylusMM < 0:
		return wrong("stylus", "The stylus's diameter cannot be negative.")
	}
	if _, ok := p.Check.Normal(); !ok {
		return wrong("check", "The face to check on looks left, right, front or rear.")
	}
	for _, q := range []struct {
		field, name string
		mm          float64
	}{{"probe", "probe's repeatability", p.ProbeSDMM}, {"form", "faces' form", p.FormMM}, {"radius", "stylus radius's limit", p.RadiusMM}, {"face", "faces' place limit", p.FaceMM}} {
		if math.IsNaN(q.mm) || q.mm < 0 || q.mm > maxErrorMM {
			return wrong(q.field, "The %s must be between 0 and %g mm: check the unit.", q.name, maxErrorMM)
		}
	}
	if p.ProbeSDMM == 0 && p.FormMM == 0 {
		return wrong("probe", "No probe repeats without any scatter: give its standard deviation, for example 0.003 mm.")
	}
	if !p.Feature.IsFinite() || p.Feature.Norm() > 2*maxPartMM || math.Abs(p.CheckAtMM) > maxPartMM || math.Abs(p.CheckAlongMM) > maxPartMM {
		return wrong("feature", "The new feature or the check lies nowhere near the part: check its place.")
	}
	return nil
}

// touchRow is one touch made ready: its face's normal on the drawing, where the
// touched point should be along it, and where it was.
type touchRow struct {
	n, t model.Vec // normal and, a quarter turn counter-clockwise, the direction along the face
	c    float64
	at   model.Vec
	face int
}

func (p PickUp) rows() []touchRow {
	var out []touchRow
	for i, f := range []Face{p.A, p.B} {
		n, _ := f.Side.Normal()
		c := f.AtMM*(n.X+n.Y) + p.ballMM()
		for _, at := range f.Touches {
			out = append(out, touchRow{n, n.Rotate(math.Pi / 2), c, at, i})
		}
	}
	return out
}

// ballMM is how far outside of a face the touched positions lie.
func (p PickUp) ballMM() float64 {
	if p.RadiusIncluded {
		return 0
	}
	return p.StylusMM / 2
}

// Find solves for work offset and rotation by least squares over all touches.
//
// Model: n.(Rot(-rotation)(touch - offset)) = c + ball's radius, n the face's
// normal and c its place on the drawing. The covariance is that of the touches
// (probe and form, independent) plus what shifts all touches of a face alike:
// stylus radius and the face's own place, each rectangular. The error is an
// *InputError, or model.ErrDegenerate for touches that all lie at one place.
func (p PickUp) Find() (Found, error) {
	if err := p.Validate(); err != nil {
		return Found{}, err
	}
	rows := p.rows()
	q := p.start(rows)
	n := len(rows)
	J, r := mat.NewDense(n, 3, nil), mat.NewVecDense(n, nil)
	var inv mat.Dense
	for range 20 {
		for i, w := range rows {
			nm := w.n.Rotate(q[2]) // the normal in the machine
			d := w.at.Sub(model.Vec{X: q[0], Y: q[1]})
			r.SetVec(i, nm.Dot(d)-w.c)
			// d/d(rotation) of Rot(-a) d is along -(-pi/2) turned: the tangent's part.
			J.SetRow(i, []float64{-nm.X, -nm.Y, w.t.Rotate(q[2]).Dot(d)})
		}
		var a mat.SymDense
		a.SymOuterK(1, J.T())
		var chol mat.Cholesky
		if !chol.Factorize(&a) || chol.Cond() > 1e12 {
			return Found{}, model.ErrDegenerate
		}
		var g, step mat.VecDense
		g.MulVec(J.T(), r)
		if err := chol.SolveVecTo(&step, &g); err != nil {
			return Found{}, model.ErrDegenerate
		}
		for i := range q {
			q[i] -= step.AtVec(i)
		}
		var s mat.SymDense
		if err := chol.InverseTo(&s); err != nil {
			return Found{}, model.ErrDegenerate
		}
		inv.CloneFrom(&s)
		if math.Abs(step.AtVec(0))+math.Abs(step.AtVec(1)) < 1e-12 && math.Abs(step.AtVec(2)) < 1e-15 {
			break
		}
	}
	f := Found{PickUp: p, Offset: model.Vec{X: q[0], Y: q[1]}, RotationRad: math.Remainder(q[2], 2*math.Pi), DOF: n - 3, PValue: math.NaN()}
	for _, w := range rows {
		f.Residuals = append(f.Residuals, w.n.Rotate(q[2]).Dot(w.at.Sub(f.Offset))-w.c)
	}
	f.spread(rows, &inv, J)
	f.judge()
	f.place()
	f.warn(rows)
	return f, nil
}

// start is a first guess: how the face with the farthest touches lies, and the
// offset by it; the smaller of two turns that fit.
func (p PickUp) start(rows []touchRow) [3]float64 {
	far, turn := 0.0, 0.0
	for i, a := range rows {
		for _, b := range rows[:i] {
			if d := a.at.Sub(b.at); a.face == b.face && d.Norm() > far {
				far = d.Norm()
				turn = math.Remainder(d.Angle()-a.t.Angle(), math.Pi)
			}
		}
	}
	var o model.Vec
	for face := range 2 {
		for _, w := range rows {
			if w.face == face {
				n := w.n.Rotate(turn)
				o = o.Add(n.Scale(n.Dot(w.at) - w.c))
				break
			}
		}
	}
	return [3]float64{o.X, o.Y, turn}
}

// spread fills in the covariance.
func (f *Found) spread(rows []touchRow, inv *mat.Dense, J *mat.Dense) {
	p := f.PickUp
	touch := p.ProbeSDMM*p.ProbeSDMM + rectSD(p.FormMM/2)*rectSD(p.FormMM/2)
	var gain mat.Dense // of the unknowns to each row's residual
	gain.Mul(inv, J.T())
	add := func(sd float64, share func(touchRow) float64) {
		var g [3]float64
		for i, w := range rows {
			for k := range g {
				g[k] += gain.At(k, i) * share(w)
			}
		}
		for a := range 3 {
			for b := range 3 {
				f.Cov[a][b] += sd * sd * g[a] * g[b]
			}
		}
	}
	for a := range 3 {
		for b := range 3 {
			f.Cov[a][b] = touch * inv.At(a, b)
		}
	}
	add(rectSD(p.RadiusMM), func(touchRow) float64 { return 1 })
	for face := range 2 {
		add(rectSD(p.FaceMM), func(w touchRow) float64 {
			if w.face == face {
				return 1
			}
			return 0
		})
	}
}

// judge says how well the touches agree.
func (f *Found) judge() {
	if f.DOF <= 0 {
		return
	}
	p := f.PickUp
	touch := p.ProbeSDMM*p.ProbeSDMM + rectSD(p.FormMM/2)*rectSD(p.FormMM/2)
	chi := 0.0
	for _, r := range f.Residuals {
		chi += r * r / touch
	}
	f.PValue = distuv.ChiSquared{K: float64(f.DOF)}.Survival(chi)
}

// At is where drawing place q lies in the machine, with its covariance.
func (f Found) At(q model.Vec) (model.Vec, model.Sym2) {
	d := q.Rotate(f.RotationRad)
	t := model.Vec{X: -d.Y, Y: d.X} // of a unit of rotation
	c := f.Cov
	return f.Offset.Add(d), model.Sym2{
		XX: c[0][0] + 2*t.X*c[0][2] + t.X*t.X*c[2][2],
		XY: c[0][1] + t.Y*c[0][2] + t.X*c[1][2] + t.X*t.Y*c[2][2],
		YY: c[1][1] + 2*t.Y*c[1][2] + t.Y*t.Y*c[2][2],
	}
}

// place puts the new feature and the check into the machine.
func (f *Found) place() {
	p := f.PickUp
	f.FeatureAt, f.FeatureCov = f.At(p.Feature)
	n, _ := p.Check.Normal()
	q := model.Vec{X: p.CheckAtMM, Y: p.CheckAlongMM}
	if !p.Check.Across() {
		q = model.Vec{X: p.CheckAlongMM, Y: p.CheckAtMM}
	}
	at, cov := f.At(q.Add(n.Scale(p.ballMM())))
	f.CheckAt = at
	f.CheckReads = p.CheckAtMM + p.ballMM()*(n.X+n.Y)
	v := variance(cov, n.Rotate(f.RotationRad))
	v += p.ProbeSDMM*p.ProbeSDMM + rectSD(p.FormMM/2)*rectSD(p.FormMM/2) + rectSD(p.FaceMM)*rectSD(p.FaceMM) + rectSD(p.RadiusMM)*rectSD(p.RadiusMM)
	f.CheckU95MM = model.Factor95 * math.Sqrt(v)
}

// warn says in words what makes the result less sure than it could be.
func (f *Found) warn(rows []touchRow) {
	p := f.PickUp
	base := 0.0
	for i, a := range rows {
		for _, b := range rows[:i] {
			if a.face == b.face {
				base = math.Max(base, a.at.Sub(b.at).Norm())
			}
		}
	}
	reach := 0.0
	for _, w := range rows {
		reach = math.Max(reach, w.at.Sub(f.FeatureAt).Norm())
	}
	switch {
	case f.DOF == 0:
		f.Warnings = append(f.Warnings, "Three touches give an answer that nothing checks: a slip in one of them would not show. Touch one place more on each face.")
	case f.PValue < 0.05:
		f.Warnings = append(f.Warnings, "The touches disagree by more than the probe scatters: a chip, a burr, the wrong face, or a slip in a number. Touch again before you cut.")
	}
	if base > 0 && reach > 1.5*base {
		f.Warnings = append(f.Warnings, "The new feature is farther away than the touches are apart: what the rotation leaves open grows with it. Touch farther apart.")
	}
	if math.Abs(f.RotationRad) > 2*deg {
		f.Warnings = append(f.Warnings, "The part is turned by more than two degrees: check the sides of the faces and the machine positions, or set the part straight first.")
	}
	if p.Check == p.A.Side && p.CheckAtMM == p.A.AtMM || p.Check == p.B.Side && p.CheckAtMM == p.B.AtMM {
		f.Warnings = append(f.Warnings, "The check face is one of the two that gave the offset: it proves nothing about the drawing. Choose a third one.")
	}
}
