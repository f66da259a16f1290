package model

// Correct returns what to add to a work offset to take out the mismatch d (mm,
// setup 2 axes). Setup 2's features lie at +d of setup 1's, so setup 2's new
// offset is old - d. Corrected in setup 1 instead, the bore has to move by +d,
// seen in setup 1's axes: a flip about Y mirrors X, a flip about X mirrors Y.
// An empty flip counts as FlipAboutY.
func Correct(d Vec, flip FlipAxis) Correction {
	c := Correction{Setup2: plusZero(d.Scale(-1)), Setup1: plusZero(Vec{-d.X, d.Y})}
	if flip == FlipAboutX {
		c.Setup1 = plusZero(Vec{d.X, -d.Y})
	}
	return c
}

// plusZero turns -0 into 0, so that no display says "-0.0000".
func plusZero(v Vec) Vec { return Vec{v.X + 0, v.Y + 0} }
