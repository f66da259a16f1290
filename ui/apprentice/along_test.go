package apprentice_test

import (
	"testing"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/port"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
)

// A bare number of the drawing counts in the units shown, and keeps its meaning when
// they are changed, here or on another page.
func TestReadAlongTakesBareNumbersInTheUnitsShown(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.ShowIn(chart.Inch) // while another part of the page is open
	r.TurnTo(3)
	bore := r.AlongEntry(state.Bore)
	if bore.PlaceHolder != "0.4 in" {
		t.Errorf("the field's example reads %q", bore.PlaceHolder)
	}
	bore.SetText("0.5")
	r.ShowIn(chart.MM)
	if got := r.AlongBore(); got != 12.7 || bore.Text != "0.5 in" || bore.PlaceHolder != "10 mm" {
		t.Errorf("0.5 typed in inches is %g mm, reads %q, example %q; want 12.7, 0.5 in, 10 mm", got, bore.Text, bore.PlaceHolder)
	}
}

func TestReadAlongKeepsQuietUntilAnswered(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TurnTo(3)
	r.OpenAlong(port.Source{Name: "mine.jpg", Data: []byte{1}})
	r.Settle()
	r.says("Say the bore and the chamfer's width first")
	if r.TurnTo(1); r.Dropped([]fyne.URI{storage.NewFileURI("/photos/dropped.jpg")}) {
		t.Error("practice took a dropped photo: that is for the bench")
	}
	r.TurnTo(3)
	r.TrySample()
	r.Settle()
	r.says("sample.jpg", "Predict first")
	v := r.Along()
	if v.HasRims() {
		t.Fatal("the rims are shown before the prediction")
	}
	v.Say(func(q *study.Quiz) {
		q.SetWhere(-0.36) // the bracket's mismatch is (0.040, -0.015)
		q.Answer.SizeMM = 0.043
		q.SetSlider(q.Slider())
		q.SetVerdict(model.DoesNotConform)
		q.SetCause(practice.Apart)
	})
	v.Reveal()
	r.says("100 of 100", "± ")
	if !v.HasRims() {
		t.Error("no rims are laid over the photo")
	}
	// A photo dropped on the page is the next one.
	if !r.Dropped([]fyne.URI{storage.NewFileURI("/photos/dropped.jpg")}) {
		t.Error("a dropped photo was not taken")
	}
	r.Settle()
	r.says("dropped.jpg", "Predict first")
	// A photo that gives no reading says why, and no mark is made up.
	r.reader.Refuse("sample.jpg", model.Refuse(model.NoHole, "No hole was found: get nearer."))
	r.TrySample()
	r.Settle()
	v.Say(func(q *study.Quiz) { q.SetEven(); q.SetVerdict(model.Conforms); q.SetCause(practice.Agree) })
	v.Reveal()
	r.says("No hole was found: get nearer.")
	r.saysNot("of 100")
}
