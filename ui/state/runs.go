package state

import (
	"slices"

	"evenrim/model"
)

// gapSteps is how many usual steps two traced points of a rim may be apart and still be
// neighbours: now and then one between them is left out.
const gapSteps = 4

// Runs splits the traced points of a rim, in their order round it, where the rim has a gap: a
// line across it would be an edge that nobody saw. A whole rim ends on its first point.
func Runs(points []model.Vec) (runs [][]model.Vec) {
	if len(points) < 2 {
		return nil
	}
	steps := make([]float64, len(points)-1)
	for i := range steps {
		steps[i] = points[i+1].Sub(points[i]).Norm()
	}
	slices.Sort(steps)
	far := gapSteps * steps[len(steps)/2]
	joined := func(a, b model.Vec) bool { return b.Sub(a).Norm() <= far }
	// From just after a gap, so that no run is cut for nothing.
	n, start := len(points), 0
	for i := range points {
		if !joined(points[(i+n-1)%n], points[i]) {
			start = i
			break
		}
	}
	run := []model.Vec{points[start]}
	for i := 1; i <= n; i++ {
		q := points[(start+i)%n]
		if joined(run[len(run)-1], q) {
			run = append(run, q)
			continue
		}
		if len(run) > 1 {
			runs = append(runs, run)
		}
		run = []model.Vec{q}
	}
	if len(run) > 1 {
		runs = append(runs, run)
	}
	return runs
}
