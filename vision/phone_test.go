package vision

import (
	"context"
	"image"
	"path/filepath"
	"slices"
	"testing"

	"gocv.io/x/gocv"

	"evenrim/model"
)

// Phones sharpen what they take: the halo of it is brighter than the face on one side of an
// edge and darker than the chamfer on the other. The photos of testdata, sharpened by an
// unsharp mask as a phone would (sd 1.5 px, 1.2 times, clipped where it leaves the picture's range).
func TestSharpenedPhotosAreRead(t *testing.T) {
	dir, photos := knownPhotos(t)
	var px []float64
	held := 0
	for _, p := range photos {
		photo, err := Decode(context.Background(), p.File, sharpened(t, filepath.Join(dir, p.File)))
		if err != nil {
			t.Fatalf("%s: %v", p.File, err)
		}
		trace, err := Trace(context.Background(), photo, p.job(), nil)
		photo.Close()
		if err != nil {
			t.Errorf("%s: %v", p.File, err)
			continue
		}
		r, err := model.Solve(trace, p.job())
		if err != nil {
			t.Errorf("%s: %v", p.File, err)
			continue
		}
		off := r.Mismatch.Sub(model.Vec{X: p.DX, Y: p.DY})
		px = append(px, off.Norm()*p.PxPerMM)
		k := model.CoverageFactor(model.EffectiveDOF(r.Budget))
		if r.Cov.Mahalanobis2(off) <= k*k {
			held++
		}
	}
	slices.Sort(px)
	// As they are the middle one of the twelve is 0.15 px off.
	if mid := px[len(px)/2]; mid > 0.3 {
		t.Errorf("sharpened photos are read %.2f px off on the middle", mid)
	}
	// 95 % of twelve is 11.4; ten or fewer has a chance of 12 % (binomial), nine of 2 %.
	if held < len(photos)-2 {
		t.Errorf("%d of %d regions hold the truth", held, len(photos))
	}
}

// sharpened is the photo, upright, sharpened and compressed again.
func sharpened(t *testing.T, path string) []byte {
	t.Helper()
	plain := gocv.IMRead(path, gocv.IMReadColor)
	defer plain.Close()
	if plain.Empty() {
		t.Fatalf("%s cannot be read", path)
	}
	soft, sharp := gocv.NewMat(), gocv.NewMat()
	defer soft.Close()
	defer sharp.Close()
	gocv.GaussianBlur(plain, &soft, image.Point{}, 1.5, 1.5, gocv.BorderDefault)
	gocv.AddWeighted(plain, 2.2, soft, -1.2, 0, &sharp)
	file, err := gocv.IMEncodeWithParams(gocv.JPEGFileExt, sharp, []int{gocv.IMWriteJpegQuality, 92})
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	return slices.Clone(file.GetBytes())
}
