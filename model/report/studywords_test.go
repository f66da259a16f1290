package report

import (
	"strings"
	"testing"

	"evenrim/model/batch"
	"evenrim/model/chart"
)

// A study of few persons leaves open how good the readings are, and is not praised for
// its middle value alone.
func TestStudyPromisesNoMoreThanItsIntervalHolds(t *testing.T) {
	for _, tt := range []struct {
		share      batch.Interval
		has, lacks string
	}{
		{batch.Interval{Value: 0.07, Low: 0.06, High: 0.09}, "of the tolerance band: good enough for this tolerance.", "settle"},
		{batch.Interval{Value: 0.07, Low: 0.06, High: 0.78}, "good enough for this tolerance. So few readings do not settle it: it may be not good enough to judge single parts by.", ""},
		{batch.Interval{Value: 0.2, Low: 0.1, High: 0.28}, "would help.", "settle"},
		{batch.Interval{Value: 0.5, Low: 0.4, High: 0.9}, "not good enough to judge single parts by.", "settle"},
	} {
		got := strings.Join(StudyWords("X", batch.Study{ToleranceShare: tt.share}, chart.MM), "\n")
		if !strings.Contains(got, tt.has) || tt.lacks != "" && strings.Contains(got, tt.lacks) {
			t.Errorf("%+v: want %q and not %q in\n%s", tt.share, tt.has, tt.lacks, got)
		}
	}
}
