package vision

import (
	"syscall"
	"testing"
	"time"
)

// inTime fails t at its end when the input cost more than two seconds of processor
// time, which, unlike the clock, says the same on a busy machine. A fuzzing process
// works on one input at a time.
func inTime(t *testing.T) {
	start := processorTime(t)
	t.Cleanup(func() {
		if took := processorTime(t) - start; took > 2*time.Second {
			t.Errorf("one input took %v of processor time", took)
		}
	})
}

func processorTime(t *testing.T) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
