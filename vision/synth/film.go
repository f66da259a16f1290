package synth

import (
	"context"
	"fmt"
	"math"
	"os"
)

// Motion is how a camera held over the part moves. The zero value stands still.
type Motion struct {
	FPS        float64 // pictures a second; 0 = 30
	WanderPx   float64 // rms of the hole's wandering in the picture, each way
	LeanRad    float64 // rms of the line of sight's lean, each way
	TurnRad    float64 // rms turn of the picture
	ZoomShare  float64 // rms change of scale, of the scale
	SwingS     float64 // how long one swing takes, s; 0 = 0.7
	PauseShare float64 // share of the time in which the hand all but rests, 0..1
	ExposureS  float64 // moving during it blurs the picture; 0 = 0.008
}

// Handheld is a phone in a fairly steady hand.
func Handheld() Motion {
	return Motion{WanderPx: 14, LeanRad: 0.5 * deg, TurnRad: 0.4 * deg, ZoomShare: 0.004, PauseShare: 0.4}
}

// Validate returns a *SceneError if m cannot be drawn.
func (m Motion) Validate() error {
	switch {
	case !within(m.FPS, 0, 1000):
		return badScene("fps", "A film has up to 1000 pictures a second.")
	case !within(m.WanderPx, 0, 1000) || !within(m.LeanRad, 0, 0.2) || !within(m.TurnRad, 0, 3) || !within(m.ZoomShare, 0, 0.2):
		return badScene("motion", "The camera may wander by 1000 px, lean by 11 degrees, turn by 170 and zoom by 20 %% at most.")
	case !within(m.SwingS, 0, 1e4) || !within(m.PauseShare, 0, 1) || !within(m.ExposureS, 0, 1):
		return badScene("motion", "Swings take up to 10000 s, pauses are a share of 0 to 1, the exposure is at most 1 s.")
	}
	return nil
}

// Film draws n pictures of s under a moving camera and hands each with its truth to
// frame, in order; it ends at frame's first error or when ctx does. The part, its
// texture and the light stay the same; the noise is each picture's own.
func Film(ctx context.Context, s Scene, n int, m Motion, frame func(i int, p *Picture, t Truth) error) error {
	s = s.WithDefaults()
	if err := filmable(s, n, m); err != nil {
		return err
	}
	pose := newHand(s.Seed, n, m)
	for i := range n {
		if err := ctx.Err(); err != nil {
			return err
		}
		p, t, err := Draw(pose.at(s, i))
		if err != nil {
			return fmt.Errorf("synth: picture %d of the film: %w", i+1, err)
		}
		if err := frame(i, p, t); err != nil {
			return err
		}
	}
	return nil
}

func filmable(s Scene, n int, m Motion) error {
	if n < 1 || n > MaxSet {
		return badScene("count", "A film has 1 to %d pictures; %d were asked for.", MaxSet, n)
	}
	if err := m.Validate(); err != nil {
		return err
	}
	return s.Validate()
}

// hand is where the camera is at each picture.
type hand struct {
	m                    Motion
	u, v, x, y, turn, zm track
}

func newHand(seed uint64, n int, m Motion) *hand {
	if m.FPS == 0 {
		m.FPS = 30
	}
	if m.SwingS == 0 {
		m.SwingS = 0.7
	}
	if m.ExposureS == 0 {
		m.ExposureS = 0.008
	}
	h := &hand{m: m}
	// Smooth unit noise whose clock slows down while the hand rests.
	rng := stream(seed, "hand")
	rest := newTrack(rng, n+64, max(1.5*m.FPS, 4))
	const knots = 4096
	walks := make([]track, 6)
	for i := range walks {
		walks[i] = newTrack(rng, knots, 3)
	}
	// The share of time at rest is the share of rest below its own quantile.
	limit := math.Sqrt2 * math.Erfinv(2*min(max(m.PauseShare, 1e-6), 1-1e-6)-1)
	out := []*track{&h.u, &h.v, &h.x, &h.y, &h.turn, &h.zm}
	for _, o := range out {
		*o = make(track, n)
	}
	clock := 0.0
	for i := range n {
		for k, o := range out {
			(*o)[i] = float32(walks[k].at(clock))
		}
		pace := 0.04 + 0.96*smooth(0.5+(float64(rest[i])-limit)*2)
		clock += pace * 6 / (m.SwingS * m.FPS) // a swing is about six knots long
	}
	return h
}

func (h *hand) at(s Scene, i int) Scene {
	prev := max(i-1, 0)
	du := h.m.WanderPx * float64(h.u[i]-h.u[prev])
	dv := h.m.WanderPx * float64(h.v[i]-h.v[prev])
	s.Frame = uint64(i) + 1
	s.OffX += h.m.WanderPx * float64(h.u[i])
	s.OffY += h.m.WanderPx * float64(h.v[i])
	s.TiltX += h.m.LeanRad * float64(h.x[i])
	s.TiltY += h.m.LeanRad * float64(h.y[i])
	s.PlusX += h.m.TurnRad * float64(h.turn[i])
	zoom := 1 + h.m.ZoomShare*float64(h.zm[i])
	s.PxPerMM *= zoom
	s.DistanceMM /= zoom
	// A path of length L during the exposure is a blur of variance L²/12.
	path := math.Hypot(du, dv) * min(h.m.ExposureS*h.m.FPS, 1)
	s.BlurPx = math.Sqrt(s.BlurPx*s.BlurPx + path*path/12)
	return s
}

// FramePattern names a film's pictures, the way a video reader takes a series.
const FramePattern = "f%05d"

// WriteFilm writes a film's pictures to dir as f00001.jpg (or .png) and so on,
// with truth in index.json. The folder is made if it isn't there; a film drawn there
// before is replaced, anything else there refused.
func WriteFilm(ctx context.Context, dir string, s Scene, n int, m Motion, done func(i int)) error {
	if err := filmable(s.WithDefaults(), n, m); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("synth: make folder %q: %w", dir, err)
	}
	if err := clearFolder(dir, FramePattern, n); err != nil {
		return err
	}
	var all []Truth
	err := Film(ctx, s, n, m, func(i int, p *Picture, t Truth) error {
		t.name(fmt.Sprintf(FramePattern, i+1) + t.Format.Ext())
		if err := p.writeTo(dir, t); err != nil {
			return err
		}
		all = append(all, t)
		if done != nil {
			done(i)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return writeIndex(dir, all)
}
