package model

import "gonum.org/v1/gonum/mat"

// The Jacobian of a reading's fit in closed form. Differences of the residuals, two
// runs over all points for each unknown, took most of the time from a changed input
// to its result; TestSlopesAreThoseOfDifferences holds the two together.

// cameraUnknowns are the first of the unknowns: those the projection depends on.
const cameraUnknowns = qSlopeY + 1

// slopes is how a departure, px, changes with what it depends on.
type slopes struct {
	value                    float64 // the departure itself
	base, lean               Vec     // per mm and per unit of the line of sight
	mismatch                 Vec     // per mm
	width, thickness, perTan float64 // per mm, per mm, per unit of 1/tan(half-angle)
}

// slopesOf is departure with its slopes: the same steps, and then from the last one
// back what each was made of.
func slopesOf(k rimKind, l sight, s *solidAtWork, pxPerMM float64) (g slopes) {
	switch k {
	case outerRim:
		v := l.base.Sub(s.Mismatch)
		n := length(v)
		g.value = (n - s.RadiusMM - s.WidthMM) * pxPerMM
		g.base = v.Scale(pxPerMM / n)
		g.mismatch, g.width = g.base.Scale(-1), -pxPerMM
		return g
	case exitRim:
		v := l.at(-s.ThicknessMM)
		n := length(v)
		g.value = (n - s.RadiusMM) * pxPerMM * s.exitScale
		g.base = v.Scale(pxPerMM * s.exitScale / n)
		g.lean, g.thickness = g.base.Scale(-s.ThicknessMM), -g.base.Dot(l.lean)
		return g
	}
	const looks = 2
	var at, off [looks]Vec // where the line of sight is taken to meet the wall, and from the chamfer's axis
	var z, deep, far [looks + 1]float64
	z[0] = -s.meanDepth
	for i := range looks {
		at[i] = l.at(z[i])
		off[i] = at[i].Scale(s.RadiusMM / length(at[i])).Sub(s.Mismatch)
		far[i] = length(off[i])
		deep[i] = max(s.RadiusMM+s.WidthMM-far[i], 0)
		z[i+1] = -deep[i] * s.perTan
	}
	end := l.at(z[looks])
	n := length(end)
	g.value = (n - s.RadiusMM) * pxPerMM
	pull := end.Scale(pxPerMM / n) // on the place that the line of sight meets
	for i := looks; ; i-- {
		g.base = g.base.Add(pull)
		g.lean = g.lean.Add(pull.Scale(z[i]))
		onZ := pull.Dot(l.lean)
		if i == 0 {
			if s.WidthMM > 0 { // the mean depth
				g.width -= onZ * s.perTan
				g.perTan -= onZ * s.WidthMM
			}
			return g
		}
		i := i - 1
		if deep[i] == 0 {
			return g // the chamfer has vanished here: the edge lies on the face
		}
		g.width -= onZ * s.perTan
		g.perTan -= onZ * deep[i]
		onOff := off[i].Scale(onZ * s.perTan / far[i])
		g.mismatch = g.mismatch.Sub(onOff)
		// Only what goes round the bore's axis moves the place on its wall.
		r := length(at[i])
		unit := at[i].Scale(1 / r)
		pull = onOff.Sub(unit.Scale(onOff.Dot(unit))).Scale(s.RadiusMM / r)
	}
}

// projectionSlopes are the derivatives of a projection by each unknown of the camera.
func (f *rimFit) projectionSlopes(q []float64) (d [cameraUnknowns][3][4]float64) {
	p := append([]float64(nil), q...)
	for c, h := range f.steps(q)[:cameraUnknowns] {
		p[c] = q[c] + h
		plus := f.camera(p).Projector()
		p[c] = q[c] - h
		minus := f.camera(p).Projector()
		p[c] = q[c]
		for i := range 3 {
			for j := range 4 {
				d[c][i][j] = (plus.m[i][j] - minus.m[i][j]) / (2 * h)
			}
		}
	}
	return d
}

// throughProjection returns by how much a departure changes with each element of the
// projection by way of the line of sight of pixel (u, v).
func (g *slopes) throughProjection(p *Projector, l sight, u, v float64) (out [3][4]float64) {
	a00, a01 := p.m[0][0]-u*p.m[2][0], p.m[0][1]-u*p.m[2][1]
	a10, a11 := p.m[1][0]-v*p.m[2][0], p.m[1][1]-v*p.m[2][1]
	perDet := 1 / (a00*a11 - a01*a10)
	// The slopes by the right sides that Projector.sight solves for.
	base := [2]float64{(g.base.X*a11 - g.base.Y*a10) * perDet, (g.base.Y*a00 - g.base.X*a01) * perDet}
	lean := [2]float64{(g.lean.X*a11 - g.lean.Y*a10) * perDet, (g.lean.Y*a00 - g.lean.X*a01) * perDet}
	for i, w := range [2]float64{u, v} {
		row := [4]float64{
			-(base[i]*l.base.X + lean[i]*l.lean.X),
			-(base[i]*l.base.Y + lean[i]*l.lean.Y),
			-lean[i], -base[i],
		}
		out[i] = row
		for j, x := range row {
			out[2][j] -= w * x
		}
	}
	return out
}

// jacobian fills j with the derivatives of residuals at q.
func (f *rimFit) jacobian(q []float64, j *mat.Dense) {
	camera := f.camera(q)
	p := camera.Projector()
	work := f.solid(q).atWork(&p)
	byCamera := f.projectionSlopes(q)
	// The exit rim's scale changes with depth and camera.
	t := work.ThicknessMM
	nearer := p.m[2][3] - t*p.m[2][2]
	scaleByThickness := p.m[2][2] / nearer // relative, as the next
	var scaleByCamera [cameraUnknowns]float64
	for c, d := range byCamera {
		scaleByCamera[c] = d[2][3]/p.m[2][3] - (d[2][3]-t*d[2][2])/nearer
	}
	perTanByAngle := -(1 + sq(work.perTan))
	raw := j.RawMatrix()
	r := 0
	for k, sights := range f.sightsUnder(camera, &p) {
		for i, l := range sights {
			pt := &f.points[k][i]
			row := raw.Data[r*raw.Stride:][:len(q)]
			r++
			g := slopesOf(rimKind(k), l, work, camera.PxPerMM)
			through := g.throughProjection(&p, l, pt.X, pt.Y)
			for c := range byCamera {
				d, sum := &byCamera[c], 0.0
				for a := range 3 {
					for b := range 4 {
						sum += through[a][b] * d[a][b]
					}
				}
				row[c] = sum
			}
			row[qScale] += g.value / camera.PxPerMM
			if rimKind(k) == exitRim {
				for c, s := range scaleByCamera {
					row[c] += g.value * s
				}
				g.thickness += g.value * scaleByThickness
			}
			row[qDX], row[qDY], row[qWidth] = g.mismatch.X, g.mismatch.Y, g.width
			row[qLogThick], row[qAngle] = g.thickness*t, g.perTan*perTanByAngle
			clear(row[nRigid:])
			if wave := qOvalOuter + 2*k; wave < len(row) {
				row[wave], row[wave+1] = -pt.cos2, -pt.sin2
			}
			for c := range row {
				row[c] *= pt.scale
			}
		}
	}
	// The priors are few, and differences of them are cheap.
	var plus, minus [len(priorNames)]float64
	trial := append([]float64(nil), q...)
	for c, h := range f.steps(q) {
		trial[c] = q[c] + h
		f.priors(trial, plus[:])
		trial[c] = q[c] - h
		f.priors(trial, minus[:])
		trial[c] = q[c]
		for i := range plus {
			raw.Data[(r+i)*raw.Stride+c] = (plus[i] - minus[i]) / (2 * h)
		}
	}
}
