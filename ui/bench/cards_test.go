package bench_test

import (
	"testing"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
)

// Whoever keeps the card by its key sees what came of it, wherever the card was scrolled to
// and with the drawer shut; a name that is missing has the cursor.
func TestKeepingTheCardIsAnsweredInSight(t *testing.T) {
	for _, size := range []fyne.Size{fyne.NewSize(1440, 900), fyne.NewSize(1024, 700)} {
		d := newDesk(t, uitest.Bracket().Card())
		d.win.Resize(size)
		d.drop("a.jpg")
		d.Settle()
		for _, shut := range []bool{false, true} {
			if shut {
				d.ToggleCard()
			}
			d.Type("name", "")
			d.KeepCard()
			d.inSight("Give the card a name")
			if e, ok := d.win.Canvas().Focused().(*kit.Entry); !ok || e.PlaceHolder != "for example the part's" {
				t.Error("the name hasn't the cursor")
			}
			d.Type("name", "Bracket")
			d.KeepCard()
			d.inSight("Kept as Bracket")
		}
	}
	d := newDesk(t, model.JobCard{})
	d.drop("a.jpg")
	d.Settle()
	d.Type("bore", "abc")
	d.KeepCard()
	d.inSight("is not a number")
}

// inSight fails unless the job card says these words, not scrolled away.
func (d *desk) inSight(words string) {
	d.t.Helper()
	if !d.Sees(words) {
		d.t.Errorf("%q isn't in sight", words)
	}
}
