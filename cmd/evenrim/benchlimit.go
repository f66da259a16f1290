package main

import (
	"context"
	"fmt"
	"math"
	"runtime"

	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
	"evenrim/vision/synth"
)

// limitNoise are the noises of a limit table, of full scale.
var limitNoise = []float64{0.005, 0.01, 0.02, 0.05}

// limit compares the scatter of readings of one scene under new noise with the
// Cramer-Rao bound of the same image model (package synth). The scene shows its
// exit rim, so that what the program knows beforehand of cameras hardly counts:
// the bound takes nothing as known.
func (v *benchVerb) limit(ctx context.Context) error {
	n := max(v.count, 3)
	base := plain()
	base.OffX, base.OffY = 3.3, -2.6
	bar := v.app.progress("readings", n*len(limitNoise))
	w := v.table("noise %\treadings\tscatter px\tbound px\tvariance over bound\t95 % interval\t")
	workers := runtime.GOMAXPROCS(0)
	for _, noise := range limitNoise {
		s := base
		c := *s.Clean
		c.NoiseSD = noise
		s.Clean = &c
		bound, err := synth.CRB(s)
		if err != nil {
			return err
		}
		type outcome struct {
			r   *model.Reading
			err error
		}
		var got []model.Vec
		err = inOrder(n, workers, 2*workers, func(i int) outcome {
			t := s
			t.Seed, t.Frame = v.seed, uint64(i)
			r, _, err := drawAndRead(ctx, t)
			return outcome{r, err}
		}, func(_ int, o outcome) error {
			bar.step()
			if o.err == nil && o.r != nil {
				got = append(got, o.r.Mismatch)
			}
			return o.err
		})
		bar.clear()
		if err != nil {
			return err
		}
		if len(got) < 3 {
			fmt.Fprintf(w, "%.1f\t%d of %d\t-\t-\t-\t-\t\n", 100*noise, len(got), n)
			continue
		}
		least := bound.Mismatch()
		variance := scatter(got)
		ratio := variance / (least.XX + least.YY)
		lo, hi := ratioInterval(len(got))
		fmt.Fprintf(w, "%.1f\t%d of %d\t%.4f\t%.4f\t%.2f\t%.2f to %.2f\t\n", 100*noise, len(got), n,
			math.Sqrt(variance/2)*s.PxPerMM, math.Sqrt((least.XX+least.YY)/2)*s.PxPerMM, ratio, ratio*lo, ratio*hi)
	}
	return w.Flush()
}

// scatter is the sum of both components' variances about their means.
func scatter(d []model.Vec) float64 {
	var mean model.Vec
	for _, v := range d {
		mean = mean.Add(v.Scale(1 / float64(len(d))))
	}
	sum := 0.0
	for _, v := range d {
		o := v.Sub(mean)
		sum += o.Dot(o)
	}
	return sum / float64(len(d)-1)
}

// ratioInterval is by what factors a variance of two components from n readings may
// be off, 95 %: chi-squared with 2 (n-1) degrees of freedom.
func ratioInterval(n int) (lo, hi float64) {
	dof := float64(2 * (n - 1))
	c := distuv.ChiSquared{K: dof}
	return dof / c.Quantile(0.975), dof / c.Quantile(0.025)
}
