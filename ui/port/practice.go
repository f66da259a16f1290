package port

import (
	"context"

	"evenrim/model/practice"
)

// Threshold tells what the eyes in the shop catch, as the Apprentice page measured
// it. Calls run off the UI goroutine.
type Threshold interface {
	// Thresholds lists each person's last measured threshold, by nickname; empty
	// when nobody was measured.
	Thresholds(ctx context.Context) ([]practice.Threshold, error)
}
