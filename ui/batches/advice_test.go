package batches

import (
	"slices"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/report"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2/test"
)

// What the parts of a batch tell of the cause stands below what to move, as on the printed page.
func TestAdviceNamesTheLikelyCauses(t *testing.T) {
	test.NewTempApp(t)
	answer := report.BatchAnswer{Causes: []model.Cause{{Title: "The stop wanders", Rank: 1, Evidence: []string{"X drifts."}, Check: "touch it again."}}}
	slip := (&advice{}).batch(0, answer, chart.MM)
	words := uitest.Words(slip)
	said := strings.Join(words, " ")
	if !slices.Contains(words, "Likely causes") || !strings.Contains(said, "The stop wanders. X drifts. To be sure: touch it again.") {
		t.Errorf("the slip says %q", said)
	}
}
