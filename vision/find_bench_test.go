package vision

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// benchSizes are megapixels: a bench microscope, a phone, a large phone.
var benchSizes = []int{2, 12, 24}

// benchPhoto enlarges a sound photo to about so many megapixels, pixel by pixel.
func benchPhoto(b *testing.B, megapixels int) *Photo {
	b.Helper()
	p := drawnPhoto(b, nil)
	k := 1
	for (k+1)*(k+1)*p.W*p.H <= megapixels*1_150_000 {
		k++
	}
	return remade(p, k*p.W, k*p.H, func(x, y int) uint8 { return p.Gray8[y/k*p.W+x/k] })
}

func BenchmarkFindHole(b *testing.B) {
	for _, mp := range benchSizes {
		p := benchPhoto(b, mp)
		b.Run(fmt.Sprintf("%dMP", mp), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if len(findHoles(p)) == 0 {
					b.Fatal("no hole found")
				}
			}
		})
	}
}

// BenchmarkFindRims is finding and telling the rims apart together.
func BenchmarkFindRims(b *testing.B) {
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.4, ThicknessMM: 12}.WithDefaults()
	for _, mp := range benchSizes {
		p := benchPhoto(b, mp)
		b.Run(fmt.Sprintf("%dMP", mp), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := findRims(p, job); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkOpen(b *testing.B) {
	files, _ := filepath.Glob(filepath.Join("..", "testdata", "photos", "*.jpg"))
	if len(files) == 0 {
		b.Fatal("no photos in testdata")
	}
	data, err := os.ReadFile(files[0])
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		p, err := Decode(context.Background(), files[0], data)
		if err != nil {
			b.Fatal(err)
		}
		p.Close()
	}
}

// BenchmarkReading is a whole reading, from a JPEG file's bytes to the mismatch.
func BenchmarkReading(b *testing.B) {
	for _, size := range []struct{ w, h int }{{1600, 1200}, {6000, 4000}} {
		s := synth.Random(41, synth.Ring)
		s.Width, s.Height, s.PxPerMM, s.Damage, s.Format, s.Orientation = size.w, size.h, 0, nil, synth.JPEG, 1
		s.OffX, s.OffY, s.Backing = 0, 0, synth.Paper
		path := filepath.Join(b.TempDir(), "photo.jpg")
		t, err := synth.Write(path, s)
		if err != nil {
			b.Fatal(err)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			b.Fatal(err)
		}
		job := model.JobCard{BoreMM: t.Bore, ChamferMM: t.Nominal, ThicknessMM: t.Thick}.WithDefaults()
		b.Run(fmt.Sprintf("%dx%d", size.w, size.h), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p, err := Decode(context.Background(), path, data)
				if err != nil {
					b.Fatal(err)
				}
				trace, err := Trace(context.Background(), p, job, nil)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := model.Solve(trace, job); err != nil {
					b.Fatal(err)
				}
				p.Close()
			}
		})
	}
}
