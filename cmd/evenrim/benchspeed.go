package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"gocv.io/x/gocv"

	"evenrim/vision"
	"evenrim/vision/synth"
)

// speedSizes are the photos of the speed table.
var speedSizes = []struct {
	name string
	w, h int
}{{"1600 x 1200", 1600, 1200}, {"12 MP", 4000, 3000}, {"24 MP", 6000, 4000}}

// speed prints how long a whole reading takes against OpenCV's decoding of the same
// JPEG alone, what two cores bring for many photos, and the memory at its peak.
func (v *benchVerb) speed(ctx context.Context) error {
	dir, err := os.MkdirTemp("", "evenrim-speed-")
	if err != nil {
		return fmt.Errorf("No folder could be made for the photos: %w", err)
	}
	defer os.RemoveAll(dir)
	self, err := os.Executable()
	if err != nil {
		return fmt.Errorf("The program cannot find itself: %w", err)
	}
	empty := runChild(ctx, 2, self, "version")
	if empty.err != nil {
		return empty.err
	}
	runs := max(v.count, 3)
	bar := v.app.progress("steps", 3*len(speedSizes))
	w := v.table("photo\tdecode s\treading s\treading / decode\treading, processor s\tone core, photos/s\ttwo cores, photos/s\tgain\tpeak MB\tabove an empty run MB\tdecoded MB\tpeak / decoded\t")
	for _, size := range speedSizes {
		path := filepath.Join(dir, fmt.Sprintf("p%d.jpg", size.w))
		s := synth.Random(v.seed+40, synth.Ring)
		s.Width, s.Height, s.PxPerMM, s.Damage, s.Format, s.Orientation = size.w, size.h, 0, nil, synth.JPEG, 1
		s.OffX, s.OffY, s.Backing = 0, 0, synth.Paper
		t, err := synth.Write(path, s)
		if err != nil {
			return err
		}
		bar.step()
		data, err := vision.ReadFile(path)
		if err != nil {
			return err
		}
		decode, whole, work, err := timeReading(ctx, data, knownOf(t), runs)
		if err != nil {
			return err
		}
		bar.step()
		// Many photos: as many as keep both cores busy for some seconds.
		many := slices.Repeat([]string{path}, 48)
		args := append([]string{"read", "--json", "--bore", fmt.Sprintf("%gmm", t.Bore), "--chamfer", fmt.Sprintf("%gmm", t.Nominal), "--thickness", fmt.Sprintf("%gmm", t.Thick)}, many...)
		one, two := runChild(ctx, 1, self, args...), runChild(ctx, 2, self, args...)
		single := runChild(ctx, 2, self, args[:len(args)-len(many)+1]...)
		for _, c := range []child{one, two, single} {
			if c.err != nil {
				return c.err
			}
		}
		bar.step()
		bar.clear()
		mb := float64(3*size.w*size.h) / 1e6
		n := float64(len(many))
		fmt.Fprintf(w, "%s\t%.3f\t%.3f\t%.2f\t%.3f\t%.2f\t%.2f\t%.2f\t%.0f\t%.0f\t%.0f\t%.2f\t\n", size.name, decode.Seconds(), whole.Seconds(),
			whole.Seconds()/decode.Seconds(), work.Seconds(), n/one.took.Seconds(), n/two.took.Seconds(), one.took.Seconds()/two.took.Seconds(),
			single.peakMB, single.peakMB-empty.peakMB, mb, (single.peakMB-empty.peakMB)/mb)
	}
	return w.Flush()
}

// timeReading returns the least of some runs, which others' work on the machine
// disturbs least, taken in turn: OpenCV's decoding to colour alone, and the whole
// reading from the file's bytes, also in the time of all processors together.
func timeReading(ctx context.Context, data []byte, k knownPhoto, runs int) (decode, whole, work time.Duration, err error) {
	decode, whole, work = time.Hour, time.Hour, time.Hour
	for range runs {
		if err := ctx.Err(); err != nil {
			return 0, 0, 0, err
		}
		began := time.Now()
		m, err := gocv.IMDecode(data, gocv.IMReadColor)
		if err != nil || m.Empty() {
			return 0, 0, 0, fmt.Errorf("OpenCV cannot decode the drawn photo: %w", err)
		}
		decode = min(decode, time.Since(began))
		m.Close()
		began = time.Now()
		worked := processorTime()
		photo, err := vision.Decode(ctx, k.File, data)
		if err != nil {
			return 0, 0, 0, err
		}
		res := measure(ctx, photo, k.job(), false, began)
		photo.Close()
		if res.err != nil {
			return 0, 0, 0, fmt.Errorf("The drawn photo of %d bytes gave no reading: %w", len(data), res.err)
		}
		whole = min(whole, time.Since(began))
		work = min(work, processorTime()-worked)
	}
	return decode, whole, work, nil
}

// processorTime is what this process has used of all processors so far.
func processorTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// child is what became of a run of the program itself.
type child struct {
	took   time.Duration
	peakMB float64 // the most memory it held at a time
	err    error
}

// runChild runs the program on a number of cores.
func runChild(ctx context.Context, cores int, self string, args ...string) child {
	cmd := exec.CommandContext(ctx, self, args...)
	cmd.Env = append(os.Environ(), fmt.Sprintf("GOMAXPROCS=%d", cores), fmt.Sprintf("OMP_NUM_THREADS=%d", cores), fmt.Sprintf("OPENCV_FOR_THREADS_NUM=%d", cores))
	var words strings.Builder
	cmd.Stderr = &words
	began := time.Now()
	if err := cmd.Start(); err != nil {
		return child{err: fmt.Errorf("The program cannot start itself: %w", err)}
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	c := child{}
	look := time.NewTicker(2 * time.Millisecond)
	defer look.Stop()
	for {
		select {
		case <-look.C:
			c.peakMB = max(c.peakMB, peakOf(cmd.Process.Pid))
		case err := <-ended:
			c.took = time.Since(began)
			if err != nil {
				c.err = fmt.Errorf("A run of evenrim %s failed (%w): %s", strings.Join(args[:1], " "), err, words.String())
			}
			return c
		}
	}
}

// peakOf returns the most memory in MB that a running process has held, 0 where
// the system doesn't tell. It is asked of the process while it runs: what the
// system counts for a child that has ended includes what its parent held when it
// was started.
func peakOf(pid int) float64 {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(status)) {
		var kB float64
		if n, _ := fmt.Sscanf(line, "VmHWM: %f kB", &kB); n == 1 {
			return kB * 1024 / 1e6
		}
	}
	return 0
}
