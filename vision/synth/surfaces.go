package synth

import (
	"math"

	"evenrim/model"
)

// faceAt returns the radiance of the face at p, seen at pixel (u, v).
func (c *shades) faceAt(p model.Vec, u, v float64) float64 {
	if c.flat != nil {
		return c.flat.Face
	}
	var slope float64
	if c.marks != nil {
		slope = c.marks.at(p)
	}
	if c.cross != nil {
		slope += c.cross.at(p)
	}
	m, f := cell((slope+maxSlope)*faceScale, faceNodes)
	x, y := u/faceCell, v/faceCell
	l := c.face[m].at(x, y)*(1-f) + c.face[m+1].at(x, y)*f
	// Torn and burnished marks differ in brightness whatever the light.
	l *= max(1+0.8*slope, 0.2)
	if c.grainRMS > 0 {
		l *= max(1+c.grainRMS*c.grain.at(p.X*c.grainPer, p.Y*c.grainPer), 0)
	}
	for i := range c.flaws {
		l *= c.flaws[i].factor(p, c.px)
	}
	return l
}

// chamferAt returns the radiance of the chamfer in direction az from its axis, at
// share s (0 at the outer edge, 1 at the bore edge) of its width; p is its plan
// position.
func (c *shades) chamferAt(p model.Vec, az, s float64) float64 {
	if c.flat != nil {
		return c.flat.Chamfer
	}
	var slope float64
	if c.chatterAmp > 0 {
		slope = c.chatterAmp * c.chatter.atAngle(az+c.skew*s)
	}
	rough := c.chGrain
	if c.dmg != nil {
		rough += 0.5 * c.dmg.atAngle(az)
	}
	if rough > 0 {
		slope += rough * c.grain.at(p.X*c.grainPer+31.7, p.Y*c.grainPer-17.3)
	}
	l := c.chamfer.at(az*chamferAz/(2*math.Pi), (slope+maxSlope)*slopeScale)
	for i := range c.flaws {
		if f := &c.flaws[i]; f.kind != Scratch {
			l *= f.factor(p, c.px)
		}
	}
	return l
}

// filletAt returns the radiance of a rounded edge where its normal is inclined
// by b from straight up, in direction az.
func (c *shades) filletAt(az, b float64) float64 {
	if c.flat != nil {
		return c.flat.Chamfer
	}
	return c.fillet.at(az*filletAz/(2*math.Pi), b*(filletNodes-1)/(math.Pi/2))
}

// wallAt returns the radiance of the bore wall in direction az at height z.
func (c *shades) wallAt(az, z float64) float64 {
	if c.flat != nil {
		return c.flat.Wall
	}
	l := c.wall.at(az*wallAz/(2*math.Pi), -z/c.thick*(wallNodes-1))
	// Faint feed lines of the boring or reaming tool.
	return l * (1 + 0.12*c.grain.at(z*8, az*0.7))
}

// backingAt returns the radiance of the backing at p.
func (c *shades) backingAt(p model.Vec) float64 {
	if c.flat != nil {
		return c.flat.Backing
	}
	x := (p.X/c.backSpan + 1) / 2 * (backingNodes - 1)
	y := (p.Y/c.backSpan + 1) / 2 * (backingNodes - 1)
	l := c.backing.at(x, y)
	return l * (1 + 0.05*c.grain.at(p.X*3, p.Y*3) + 0.05*c.grain.at(p.X*9+5, p.Y*9))
}
