package live

import (
	"syscall"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/live"
	"evenrim/vision/synth"
)

// processor returns the processor time that this process has used: it tells the
// speed on a machine that others use too.
func processor() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// One reading: following the rims and solving, the picture being in memory.
func BenchmarkFollow1080p(b *testing.B) {
	s := benchScene(1920, 1080)
	frames := film(b, s, 12, synth.Handheld())
	k := tracked(b, frames[0], s.JobCard())
	card := s.JobCard().WithDefaults()
	b.ReportAllocs()
	i, by := 0, 1
	used := processor()
	n := 0
	for b.Loop() {
		if n == 0 {
			used = processor()
		}
		n++
		if i+by < 0 || i+by >= len(frames) {
			by = -by
			k.vx, k.vy = -k.vx, -k.vy
		}
		i += by
		trace, err := k.follow(frames[i])
		if err != nil {
			b.Fatal(err)
		}
		if _, err := model.Solve(trace, card); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "readings/s")
	b.ReportMetric(float64((processor()-used).Milliseconds())/float64(n), "cpu-ms/op")
}

// From the file: decoding the film, following, solving, pictures for the screen;
// the first search left out. One iteration is a film of 90 pictures.
func BenchmarkFilm1080p(b *testing.B) {
	s := benchScene(1920, 1080)
	few := film(b, s, 10, synth.Handheld())
	var frames []*frame
	for i := range 90 { // to and fro
		at := i % 18
		if at > 9 {
			at = 18 - at
		}
		frames = append(frames, few[at])
	}
	path := video(b, frames)
	b.ReportAllocs()
	read, spent, used := 0, time.Duration(0), time.Duration(0)
	for b.Loop() {
		src, err := OpenFilm(path, false)
		if err != nil {
			b.Fatal(err)
		}
		var first time.Time
		var cpu time.Duration
		session := Watch(src, s.JobCard(), true, func(v live.View) {
			if v.Reading == nil {
				return
			}
			if first.IsZero() { // the search is over
				first, cpu = time.Now(), processor()
				return
			}
			read++
		})
		session.Wait()
		spent, used = spent+time.Since(first), used+processor()-cpu
		session.Close()
	}
	b.ReportMetric(float64(read)/spent.Seconds(), "readings/s")
	b.ReportMetric(float64(used.Milliseconds())/float64(read), "cpu-ms/picture")
}
