package model

// EdgePoint is one traced position of a rim.
type EdgePoint struct {
	X, Y float64 // px of the upright photo
	// SigmaPx is one standard deviation of the position along the rim's normal
	// from pixel noise, blur and contrast alone.
	SigmaPx float64
}

// Trace is what the picture gave: the rims' points, before any geometry.
type Trace struct {
	WidthPx, HeightPx int
	Outer, Bore, Exit []EdgePoint // Exit is empty where the exit rim wasn't seen
	// ExitInDoubt says that the exit rim could be a play of light: the fit of all
	// rims together decides.
	ExitInDoubt bool
	BlurPx      float64 // sd of the picture's blur at the rims
	// EvenLight says of each rim (outer, bore, exit) that the light on it is the same from
	// opposite sides, as that of two lamps: what it moves an edge by on one side it moves it by
	// on the other, and the middle stays. The exit rim's light is not asked.
	EvenLight [3]bool
	// Doubt is how far light on a rounded edge, a wall or a chamfer may have moved a whole rim,
	// beyond its points' own scatter: covariance, px², photo axes (x right, y down).
	Doubt    [3]Sym2 // outer, bore, exit
	Warnings []string
	HelpedBy string // what a person set by hand ("" = the finder alone)
}

// Arc is a stretch of a rim, in part axes once a job's PlusX is known and in
// screen angles (counter-clockwise from image-right) in a Trace.
type Arc struct{ CentreRad, WidthRad float64 }

// Circle is a place in a photo, px.
type Circle struct{ X, Y, R float64 }
