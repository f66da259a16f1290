package record

import (
	"encoding/hex"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"evenrim/model"
)

// samplePhoto stands for a photo's file: the record never looks inside.
func samplePhoto(seed uint64, size int) []byte {
	r := rand.New(rand.NewPCG(seed, 7))
	b := make([]byte, size)
	for i := range b {
		b[i] = byte(r.Uint32())
	}
	return b
}

// sampleReading is a reading with everything filled in, as awkward as one can
// be: NaN, infinities, minus zero, denormals, none against empty lists.
func sampleReading(seed uint64, photo []byte) *model.Reading {
	r := rand.New(rand.NewPCG(seed, 11))
	points := func(n int) []model.EdgePoint {
		p := make([]model.EdgePoint, n)
		for i := range p {
			p[i] = model.EdgePoint{X: 900 + 400*r.Float64(), Y: 700 + 400*r.Float64(), SigmaPx: 0.02 + 0.1*r.Float64()}
		}
		return p
	}
	d := model.Vec{X: 0.02 * r.NormFloat64(), Y: 0.02 * r.NormFloat64()}
	return &model.Reading{
		Photo: model.Photo{Name: fmt.Sprintf("bracket-%d.jpg", seed), SHA256: HashPhoto(photo), WidthPx: 4032, HeightPx: 3024, Orientation: 6},
		Job: model.JobCard{Name: "cylinder bracket", BoreMM: 10, ChamferMM: 0.25, ThicknessMM: 12, PlusX: 0.1}.
			WithDefaults(),
		Trace: model.Trace{WidthPx: 4032, HeightPx: 3024, Outer: points(40), Bore: points(40), Exit: []model.EdgePoint{}, BlurPx: 1.3,
			Warnings: []string{"light from one side: \"hard\" <edge> \u2028 µm"}},
		Mismatch: d, Cov: model.Sym2{XX: 1.1e-6, XY: -3e-8, YY: 1.3e-6}, U95MM: 0.0028, WidthMM: 0.2481, WidthUMM: 0.0008,
		Camera:      model.Camera{CX: 2015.5, CY: 1511.5, U0: 2000.1, V0: 1500.7, PxPerMM: 92.1, InvDistPerMM: 1. / 140, SlopeX: math.Copysign(0, -1)},
		View:        model.View{SlopeX: 0.01, SlopeY: 5e-324, SlopeUX: math.Inf(1), SlopeUY: math.Inf(-1), How: model.FromExitRim},
		Outer:       model.RimShape{CX: 2000, CY: 1500, A: 483, B: 482, AngleRad: math.NaN(), RMSPx: 0.1 + 0.2, ArcRad: 2 * math.Pi},
		Bore:        model.RimShape{CX: 2001, CY: 1501, A: 460, B: 459},
		Exit:        &model.RimShape{CX: 2003, CY: 1502, A: 430, B: 429},
		VanishedRad: 0.3, Damage: []model.Damage{{AtRad: 1, WidthRad: 0.1, Kind: model.Outward, Rim: "outer", PeakMM: 0.05}},
		Curve:   []model.CurvePoint{{AngleRad: 0.5, WidthMM: 0.25, SigmaMM: 0.001, FitMM: 0.2501, Used: true}, {}},
		Budget:  []model.BudgetLine{{Source: "edge points", Value: "720 points", Distribution: "normal", U: 0.001, Unit: "mm", Cov: model.Sym2{XX: 1e-7}, Why: "noise"}},
		Verdict: model.Conforms, PWithin: 0.998, Correction: model.Correction{Setup2: d.Scale(-1), Setup1: model.Vec{X: -d.X, Y: d.Y}},
		Seconds: 0.083, Version: "0.1.0", MadeAt: time.Date(2031, 3, 14, 9, 26, 53, 589793238, time.FixedZone("", 2*3600)),
	}
}

func openNew(t testing.TB) *Store { return openAt(t, t.TempDir()) }

func openAt(t testing.TB, dir string) *Store {
	t.Helper()
	s, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatalf("Open(%s): %v", dir, err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// keepSample keeps reading number seed with labels l.
func keepSample(t testing.TB, s *Store, seed uint64, l Labels) ID {
	t.Helper()
	photo := samplePhoto(seed, 3000)
	id, err := s.Keep(t.Context(), sampleReading(seed, photo), photo, l)
	if err != nil {
		t.Fatalf("Keep: %v", err)
	}
	return id
}

func execAll(s *Store, err error, queries ...string) error {
	for _, q := range queries {
		if err == nil {
			_, err = s.write.Exec(q)
		}
	}
	return err
}

func hexOf(b []byte) string { return hex.EncodeToString(b) }

func anyContains(list []string, part string) bool {
	return part == "" || slices.ContainsFunc(list, func(s string) bool { return strings.Contains(s, part) })
}
