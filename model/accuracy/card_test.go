package accuracy

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/model"
)

// The errors of drawn cards have the standard uncertainties of the budget's lines: over
// 4,000 cards the root mean square is within 4 % (its own sd is 1/sqrt(8000) = 1.1 %, from
// the variance of chi-squared), and a rectangular one never leaves its limits.
func TestCardsAreOffByWhatTheBudgetSays(t *testing.T) {
	r := &model.Reading{
		Job: model.JobCard{BoreMM: 8, ThicknessMM: 10, HalfAngle: math.Pi / 4, PlusX: 1},
		Budget: []model.BudgetLine{
			{Source: model.SourcePoints, U: 5},
			{Source: model.SourceBore, Distribution: "rectangular", U: 0.006},
			{Source: model.SourceThickness, Distribution: "normal", U: 0.05},
			{Source: model.SourceHalfAngle, Distribution: "normal", U: 0.5},
			{Source: model.SourcePlusX, Distribution: "normal", U: 1},
		},
	}
	rng := rand.New(rand.NewPCG(1, 2))
	const n, deg = 4000, math.Pi / 180
	var sum [4]float64
	most := 0.0
	for range n {
		job := offCard(r, rng)
		for i, e := range []float64{job.BoreMM - 8, job.ThicknessMM - 10, (job.HalfAngle - math.Pi/4) / deg, (job.PlusX - 1) / deg} {
			sum[i] += e * e
		}
		most = math.Max(most, math.Abs(job.BoreMM-8))
	}
	for i, want := range []float64{0.006, 0.05, 0.5, 1} {
		if got := math.Sqrt(sum[i] / n); math.Abs(got/want-1) > 0.04 {
			t.Errorf("line %d: errors of %.4f in the mean square, want %.4f", i, got, want)
		}
	}
	if limit := 0.006 * math.Sqrt(3); most > limit || most < 0.95*limit {
		t.Errorf("the bore is off by up to %.5f mm, want nearly %.5f", most, limit)
	}
	r.Job.ThicknessMM = 0
	if job := offCard(r, rng); job.ThicknessMM != 0 {
		t.Errorf("a card without a thickness got one, %.2f mm", job.ThicknessMM)
	}
}

// A card that is off turns the mismatch: with rims without noise and a large mismatch the
// reading is as far off as the arrow is, and what it states covers that about as often as it says.
func TestCardJudgedOnRimsWithoutNoise(t *testing.T) {
	truth := model.Vec{X: 0.12, Y: -0.05}
	trace, job := rimsWithoutNoise(t, truth)
	r, err := model.Solve(trace, job)
	if err != nil {
		t.Fatal(err)
	}
	if d := r.Mismatch.Sub(truth).Norm(); d > 1e-4 {
		t.Fatalf("read %.5f mm off, want the truth", d)
	}
	const n = 60
	covered := 0
	for i := range n {
		var c Case
		c.JudgeCard(r, truth, rand.New(rand.NewPCG(uint64(i), 0)))
		if !c.CardJudged {
			t.Fatal("the rims were not solved again")
		}
		if c.CardCovered {
			covered++
		}
	}
	// 95 % of 60 is 57; 51 or fewer has a chance of 0.6 % (binomial).
	if covered < 52 {
		t.Errorf("%d of %d covered, want about 57", covered, n)
	}
	lying := *r
	lying.Budget = nil
	for i := range r.Budget {
		line := r.Budget[i]
		line.U *= 20
		lying.Budget = append(lying.Budget, line)
	}
	missed := 0
	for i := range n {
		var c Case
		c.JudgeCard(&lying, truth, rand.New(rand.NewPCG(uint64(i), 0)))
		if c.CardJudged && !c.CardCovered {
			missed++
		}
	}
	if missed < n/2 {
		t.Errorf("cards twenty times as far off as stated are covered in all but %d of %d", missed, n)
	}
}

// rimsWithoutNoise are the exact rims of a hole under a leaning camera.
func rimsWithoutNoise(t *testing.T, mismatch model.Vec) (model.Trace, model.JobCard) {
	t.Helper()
	cam := model.Camera{CX: 799.5, CY: 599.5, U0: 820, V0: 580, PxPerMM: 80, InvDistPerMM: 1 / 140.0, SlopeX: 0.04, SlopeY: -0.02, PlusX: 0.7}
	solid := model.Solid{RadiusMM: 4, WidthMM: 0.4, ThicknessMM: 8, HalfAngle: math.Pi / 4, Mismatch: mismatch}
	p := cam.Projector()
	trace := model.Trace{WidthPx: 1600, HeightPx: 1200, BlurPx: 1.2}
	add := func(to *[]model.EdgePoint, q model.Vec, z float64) {
		u, v := p.ToPhoto(q.X, q.Y, z)
		*to = append(*to, model.EdgePoint{X: u, Y: v, SigmaPx: 0.02})
	}
	for i := range 120 {
		a := 2 * math.Pi * float64(i) / 120
		q, there := solid.OuterEdge(a)
		if !there {
			t.Fatalf("the chamfer has vanished at %.2f rad", a)
		}
		depth, _ := solid.ChamferDepth(a)
		add(&trace.Outer, q, 0)
		add(&trace.Bore, model.Polar(solid.RadiusMM, a), -depth)
		add(&trace.Exit, model.Polar(solid.RadiusMM, a), -solid.ThicknessMM)
	}
	return trace, model.JobCard{BoreMM: 8, ChamferMM: 0.4, ThicknessMM: 8, HalfAngle: math.Pi / 4, PlusX: cam.PlusX}
}
