package model

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Comparison says whether photos and indicator agree, by E_n of all that both tell
// together: within 1 = yes. Of four single ones, one is beyond 1 in every sixth good part.
type Comparison struct {
	Photos, Walls     PartValues
	EnX, EnY, EnPlane float64 // NaN where one of the two doesn't tell
	EnRotation        float64
	// EnTogether is of X, Y, rotation and what else both tell (also a combination, as
	// where two walls meet at a corner): the root of chi-squared over its 95 % point.
	EnTogether float64
	ComparesX, ComparesY,
	ComparesRotation bool
	// Compares says that there is anything that both tell. Without it Agree is false and
	// means nothing.
	Compares bool
	Agree    bool
}

// PartValues are shift and rotation from one kind of reading alone. Where only the
// other kind tells the rotation, the shift is as with that.
type PartValues struct {
	Shift         Vec
	RotationRad   float64
	UX, UY        float64
	URotation     float64
	SizeMM        float64
	USizeMM       float64
	KnowsX        bool
	KnowsY        bool
	KnowsRotation bool
	KnowsSize     bool
}

// Disputed says that photos and indicator contradict each other: then neither shift,
// rotation nor size is known, and nothing may be corrected.
func (f *PartFit) Disputed() bool {
	return f.Compare != nil && f.Compare.Compares && !f.Compare.Agree
}

// kind is what one kind of reading says: photos or walls.
type kind struct {
	body
	fit bodyFit
	cov *mat.SymDense
}

func newKind(b body) kind {
	fit := b.fit(false)
	return kind{b, fit, b.covariance(fit, 1)}
}

// with is what the kind says of the shift where the part is turned by omega.
func (k kind) with(omega float64) kind {
	k.turns, k.turned = false, omega
	return newKind(k.body)
}

// lever is how far a rotation moves what the kind says of the shift, mm per rad.
func (k kind) lever(omega float64) Vec {
	const step = 1e-4 // rad: the arc departs from its tangent by 1e-7 mm at 100 mm
	a, b := k.with(omega-step).fit.X, k.with(omega+step).fit.X
	return Vec{b[pX] - a[pX], b[pY] - a[pY]}.Scale(1 / (2 * step))
}

func (k kind) values() PartValues {
	u := func(j int) float64 { return sqrt0(k.cov.At(j, j)) }
	x, knows := k.fit.X, k.fit.knows
	return PartValues{
		Shift: Vec{x[pX], x[pY]}, RotationRad: x[pTurn], SizeMM: x[pSize],
		UX: u(pX), UY: u(pY), URotation: u(pTurn), USizeMM: u(pSize),
		KnowsX: knows[pX], KnowsY: knows[pY], KnowsRotation: knows[pTurn], KnowsSize: knows[pSize],
	}
}

// sameLever is by how much two levers, mm, may differ and the rotation still be
// nothing between them: their places were typed.
const sameLever = 1e-6

// compare sets photos against walls, and says whether the rotation of all, which fit
// is the fit of, rests on the two together without a check. nil where one of them is missing.
func (b *body) compare(fit bodyFit) (c *Comparison, turnUnchecked bool) {
	if len(b.holes) == 0 || len(b.walls) == 0 {
		return nil, false
	}
	photoBody, wallBody := *b, *b
	photoBody.walls, photoBody.steps, photoBody.use = nil, nil, b.use[:len(b.holes)]
	wallBody.holes, wallBody.use, wallBody.turns = nil, b.use[len(b.holes):], true
	photos, walls := newKind(photoBody), newKind(wallBody)
	c = &Comparison{Photos: photos.values(), Walls: walls.values(), EnX: math.NaN(), EnY: math.NaN(), EnPlane: math.NaN(), EnRotation: math.NaN(), EnTogether: math.NaN()}
	turnP, turnW := photos.fit.knows[pTurn], walls.fit.knows[pTurn]
	if turnP && turnW {
		c.ComparesRotation = true
		c.EnRotation = En(c.Photos.RotationRad, c.Photos.URotation, c.Walls.RotationRad, c.Walls.URotation)
	}
	d, cov, x, y := b.shiftsApart(c, photos, walls)
	c.ComparesX, c.ComparesY = x && c.Photos.KnowsX && c.Walls.KnowsX, y && c.Photos.KnowsY && c.Walls.KnowsY
	if c.ComparesX {
		c.EnX = En(d.X, sqrt0(cov.XX), 0, 0)
	}
	if c.ComparesY {
		c.EnY = En(d.Y, sqrt0(cov.YY), 0, 0)
	}
	if c.ComparesX && c.ComparesY {
		c.EnPlane = En2(d, cov, Vec{}, Sym2{})
	}
	if !b.turns {
		walls = walls.with(0) // as the fit of all has it
	}
	// What all of it fits worse than each kind by itself is what they contradict each other by.
	shared := fit.DOF - photos.fit.DOF - walls.fit.DOF
	if shared > 0 {
		worse := math.Max(fit.Chi2-photos.fit.Chi2-walls.fit.Chi2, 0)
		c.EnTogether = math.Sqrt(worse / distuv.ChiSquared{K: float64(shared)}.Quantile(0.95))
		c.Compares, c.Agree = true, c.EnTogether <= 1
	}
	return c, fit.knows[pTurn] && !turnP && !turnW && shared == 0
}

// shiftsApart returns the photos' shift less the walls' with its covariance, and in
// which axes the rotation doesn't stand between the two. A kind that tells no rotation
// has its shift with the other's: a pair of walls read off the axis is moved by it.
func (b *body) shiftsApart(c *Comparison, photos, walls kind) (d Vec, cov Sym2, x, y bool) {
	x, y = true, true
	// of is the kind that knows the rotation, lever what that does to the other's shift.
	of, other, lever := photos, walls, Vec{}
	turnP, turnW := photos.fit.knows[pTurn], walls.fit.knows[pTurn]
	switch {
	case turnP && !turnW:
		other = walls.with(c.Photos.RotationRad)
		lever = other.lever(c.Photos.RotationRad)
		c.Walls = taken(other, lever, c.Photos.URotation)
	case turnW && !turnP && b.turns:
		of, other = walls, photos.with(c.Walls.RotationRad)
		lever = other.lever(c.Walls.RotationRad)
		c.Photos = taken(other, lever, c.Walls.URotation)
	case !turnP && !turnW && b.turns:
		p, w := photos.lever(0), walls.lever(0)
		x, y = math.Abs(p.X-w.X) < sameLever, math.Abs(p.Y-w.Y) < sameLever
	}
	d = c.Photos.Shift.Sub(c.Walls.Shift)
	along := func(i, j int, ki, kj float64) float64 {
		return of.cov.At(i, j) - ki*of.cov.At(pTurn, j) - kj*of.cov.At(i, pTurn) + ki*kj*of.cov.At(pTurn, pTurn) + other.cov.At(i, j)
	}
	return d, Sym2{along(pX, pX, lever.X, lever.X), along(pX, pY, lever.X, lever.Y), along(pY, pY, lever.Y, lever.Y)}, x, y
}

// taken are k's values where the rotation, with its uncertainty, was the other kind's.
func taken(k kind, lever Vec, uTurn float64) PartValues {
	v := k.values()
	v.UX, v.UY = math.Hypot(v.UX, lever.X*uTurn), math.Hypot(v.UY, lever.Y*uTurn)
	return v
}

// dispute says what photos and indicator each have, and what to do about it.
func (c *Comparison) dispute() string {
	said := func(v PartValues) string {
		var s []string
		add := func(ok bool, name string, mm float64) {
			if ok {
				s = append(s, fmt.Sprintf("%s %+.4f mm (%+.5f in)", name, mm, mm/MMPerInch))
			}
		}
		add(c.ComparesX, "X", v.Shift.X)
		add(c.ComparesY, "Y", v.Shift.Y)
		if c.ComparesRotation {
			s = append(s, fmt.Sprintf("rotation %+.4f degrees", degrees(v.RotationRad)))
		}
		return strings.Join(s, ", ")
	}
	s := "Photos and indicator disagree by more than both state"
	if p := said(c.Photos); p != "" {
		s += fmt.Sprintf(": the photos say %s, the indicator says %s", p, said(c.Walls))
	}
	return s + ". So no shift, rotation or size is given. Check the +X direction, the walls' signs and the indicator, and read again what is wrong."
}
