package chart

import (
	"testing"

	"evenrim/model"
)

func BenchmarkTargetMap400(b *testing.B) {
	r := &model.Reading{Mismatch: model.Vec{X: 0.01, Y: 0.004}, Cov: model.Sym2{XX: 1e-6, YY: 1e-6}, U95MM: 0.0025}
	for b.Loop() {
		Render(TargetMap([]MapPoint{ReadingPoint(r)}, Zone{ToleranceMM: 0.0254}, MapOptions{Style: Light()}), 400, 400, 96)
	}
}
