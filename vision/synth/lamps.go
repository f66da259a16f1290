package synth

import "math"

type vec3 [3]float64

func (a vec3) add(b vec3) vec3    { return vec3{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec3) sub(b vec3) vec3    { return vec3{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec3) mul(k float64) vec3 { return vec3{a[0] * k, a[1] * k, a[2] * k} }
func (a vec3) dot(b vec3) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec3) cross(b vec3) vec3 {
	return vec3{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func (a vec3) unit() vec3 { return a.mul(1 / math.Sqrt(a.dot(a))) }
func sphere(polar, az float64) vec3 {
	s := math.Sin(polar)
	return vec3{s * math.Cos(az), s * math.Sin(az), math.Cos(polar)}
}

// lamp is a small source at a place in part axes, mm.
type lamp struct {
	pos   vec3
	power float64 // irradiance at the hole on a surface square to it
	reach float64 // distance to the hole, mm
	size  float64 // sd of its angular extent, rad
}

// lighting is all the light of a scene.
type lighting struct {
	lamps   []lamp
	ambient float64 // radiance from every direction above the face
	camera  vec3    // direction from the hole to the camera
	camPos  vec3    // its place, mm
}

// defaultElevation is where lamps stand by kind of light, rad above the face.
func defaultElevation(l Light) float64 {
	deg := map[Light]float64{Ring: 60, Side: 32, Two: 36, Window: 42}[l]
	if deg == 0 {
		deg = 80
	}
	return deg * math.Pi / 180
}

func newLighting(s Scene) *lighting {
	l := &lighting{camera: vec3{math.Tan(s.TiltX), math.Tan(s.TiltY), 1}.unit()}
	dist := s.DistanceMM
	if s.Parallel {
		dist = 1e5
	}
	l.camPos = l.camera.mul(dist)
	far := min(max(0.8*dist, 60), 400)
	rng := stream(s.Seed, "lamps")
	az := s.LightAzimuth - s.PlusX // lamps stay with the camera when the part is turned
	polar := math.Pi/2 - s.LightElevation
	size := func(byKind float64) float64 {
		if s.LightSize > 0 {
			return s.LightSize
		}
		return byKind
	}
	put := func(dir vec3, power, size, far float64) {
		l.lamps = append(l.lamps, lamp{dir.mul(far), power, far, size})
	}
	switch s.Light {
	case Ring: // round the lens, not round the part
		right := vec3{0, 1, 0}.cross(l.camera).unit()
		up := l.camera.cross(right)
		const n = 20
		for i := range n {
			d := sphere(polar, 2*math.Pi*float64(i)/n-s.PlusX)
			put(right.mul(d[0]).add(up.mul(d[1])).add(l.camera.mul(d[2])).unit(), 1.0/n, size(0.09), far)
		}
	case Dome: // rings of equal solid angle, dark where the lens looks in
		for i := range 5 {
			c := 0.97 - 0.92*(float64(i)+0.5)/5
			for j := range 9 {
				put(sphere(math.Acos(c), 2*math.Pi*(float64(j)+0.5*float64(i%2))/9-s.PlusX), 1.0/45, size(0.16), far)
			}
		}
	case Side:
		put(sphere(polar, az), 1, size(0.05), far)
	case Two:
		second := 0.6 + 0.4*rng.Float64()
		put(sphere(polar, az), 1, size(0.06), far)
		put(sphere(polar, az+math.Pi), second, size(0.06), far)
	case Window:
		for i := range 3 {
			for j := range 4 {
				put(sphere(polar+0.18*float64(i-1), az+0.2*(float64(j)-1.5)), 1.0/12, size(0.12), 2*far)
			}
		}
	case Coaxial: // mirrored in through the lens, never quite centred
		off := sphere(0.01+0.03*rng.Float64(), 2*math.Pi*rng.Float64()-s.PlusX)
		put(vec3{l.camera[0] + off[0], l.camera[1] + off[1], l.camera[2]}.unit(), 1, size(0.07), dist)
	}
	l.ambient = max(s.Ambient, 0) / math.Pi
	if s.Light == Coaxial {
		l.ambient *= 2
	}
	return l
}

// finish is how a metal surface spreads light: micro slopes along and across t.
type finish struct {
	along, across float64
	broad         float64 // share of the light in a wide isotropic lobe
}

const broadSlope = 0.36 // rms slope of the wide lobe

// radiance returns what the camera receives from a metal surface at p with unit
// normal n and lay direction t (unit, square to n). visible says how much of
// a lamp the point sees; nil = all.
func (l *lighting) radiance(p, n, t vec3, f finish, visible func(*lamp) float64) float64 {
	v := l.camPos.sub(p).unit()
	nv := n.dot(v)
	if nv < 0.02 {
		nv = 0.02
	}
	b := n.cross(t)
	sum := l.ambient * (0.35 + 0.3*(1+n[2])/2)
	for i := range l.lamps {
		q := &l.lamps[i]
		d := q.pos.sub(p)
		d2 := d.dot(d)
		dir := d.mul(1 / math.Sqrt(d2))
		nl := n.dot(dir)
		if nl <= -2*q.size {
			continue
		}
		e := q.power * q.reach * q.reach / d2
		if visible != nil {
			if e *= visible(q); e == 0 {
				continue
			}
		}
		h := dir.add(v)
		hn := h.dot(n)
		if hn <= 1e-6 {
			continue
		}
		sx, sy := h.dot(t)/hn, h.dot(b)/hn
		// An extended lamp widens the lobe by half its own spread.
		w2 := q.size * q.size / 4
		vx, vy := f.along*f.along+w2, f.across*f.across+w2
		vb := broadSlope*broadSlope + w2
		lobe := (1-f.broad)*math.Exp(-sx*sx/(2*vx)-sy*sy/(2*vy))/math.Sqrt(vx*vy) +
			f.broad*math.Exp(-(sx*sx+sy*sy)/(2*vb))/vb
		c := hn * hn / h.dot(h)
		sum += e * (0.7*lobe/(2*math.Pi*4*nv*c*c)*smooth(nl/(0.06+2*q.size)) + 0.02*max(nl, 0))
	}
	return sum
}

// smooth rises from 0 at x <= 0 to 1 at x >= 1.
func smooth(x float64) float64 {
	x = min(max(x, 0), 1)
	return x * x * (3 - 2*x)
}

// throughBore returns how much of a lamp reaches a point h below the face inside
// the bore (radius r), the mouth's rim being the only obstacle.
func throughBore(q *lamp, p vec3, r float64) float64 {
	d := q.pos.sub(p)
	if d[2] <= 1e-9 || p[2] > 0 {
		return 1
	}
	k := -p[2] / d[2]
	x, y := p[0]+k*d[0], p[1]+k*d[1]
	soft := -p[2]*q.size*1.5 + 0.02*r // half width of the penumbra at the mouth
	return smooth(0.5 + (r-math.Sqrt(x*x+y*y))/(2*soft))
}
