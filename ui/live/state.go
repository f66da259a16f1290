package live

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"evenrim/model"
	"evenrim/model/live"
	"evenrim/ui/state"
)

// State is what the live view says and decides, without a window.
type State struct {
	Units   state.Units
	Cameras []int // plugged in

	Source  string // name of what is watched; "" = nothing
	Opening bool
	Problem string // a sentence; "" = none
	Over    bool   // Problem is only a film's end

	View   live.View
	Frozen *live.Still // the picture held, nil while the camera runs
	held   live.View   // what is shown with it
	Kept   []string    // names of the stills kept, newest last
	Near   bool        // the hole fills the view
}

// Watching says whether pictures come.
func (s *State) Watching() bool { return s.Source != "" && !s.Opening }

// Begin is called when a source is being opened.
func (s *State) Begin(name string) {
	s.Source, s.Opening, s.Problem, s.Over = name, true, "", false
	s.View, s.Frozen = live.View{}, nil
}

// Began is called when it is open; Fail when it isn't, or has ended.
func (s *State) Began() { s.Opening = false }

// Fail takes the sentence of what went wrong, or of a film's end.
func (s *State) Fail(err error) {
	s.Opening = false
	s.Over = false
	s.Problem = "The camera could not be used: " + err.Error()
	if p, ok := err.(*live.Problem); ok {
		s.Problem, s.Over = p.Sentence, p.Over
	}
	if !s.Over {
		s.Source = ""
	}
}

// Take brings the newest moment.
func (s *State) Take(v live.View) { s.View = v }

// Freeze holds the picture of a still with what was read in it.
func (s *State) Freeze(still live.Still) { s.Frozen, s.held = &still, s.View }

// GoOn lets the camera run again.
func (s *State) GoOn() { s.Frozen = nil }

// Shown is the moment on the screen.
func (s *State) Shown() live.View {
	if s.Frozen != nil {
		return s.held
	}
	return s.View
}

// Number is the live number in words and figures.
type Number struct {
	X, Y, Unit string // figures
	PM         string // ± with its unit
	Verdict    model.Verdict
	Words      string // what the verdict would be, as an estimate
}

// Number returns the number of the moment; ok is false when there is none. It is
// never shown without its uncertainty.
func (s *State) Number() (n Number, ok bool) {
	e := s.Shown().Estimate
	if e == nil || e.OfReading == nil {
		return Number{}, false
	}
	r := *e.OfReading
	r.Mismatch = e.Mismatch
	// A hand that shakes the number about says more than the single pictures do.
	r.U95MM = math.Max(e.U95MM, 2*e.SpreadMM)
	r.Verdict, r.PWithin = e.Verdict, e.PWithin
	sheet := state.SheetOf(&r, s.Units)
	n = Number{X: sheet.X, Y: sheet.Y, Unit: sheet.Unit, PM: sheet.PM, Verdict: e.Verdict}
	zone := s.Units.Plain(r.Job.ToleranceMM)
	switch e.Verdict {
	case model.Conforms:
		n.Words = "Looks to be within " + zone + "."
	case model.DoesNotConform:
		n.Words = "Looks to be outside " + zone + "."
	default:
		n.Words = "Too close to " + zone + " to tell."
	}
	return n, true
}

// Headline says where the hunt stands, in a few words.
func (s *State) Headline() string {
	v := s.Shown()
	switch {
	case s.Opening:
		return "Opening " + s.Source + "…"
	case s.Frozen != nil:
		return "Picture held"
	case s.Problem != "" && !s.Over:
		return "No picture"
	case s.Over:
		return "The film is over"
	case s.Source == "":
		return "Choose a camera"
	case v.Seq == 0:
		return "Waiting for the first picture…"
	case v.Phase == live.Looking:
		return "Looking for the hole…"
	case v.Phase == live.Lost:
		return "Lost the hole, looking for it…"
	case v.Reading == nil:
		return "The hole is in view"
	}
	return "Live estimate"
}

// Small says how the number is to be taken, in a sentence or two.
func (s *State) Small() string {
	v := s.Shown()
	switch {
	case s.Over && s.Frozen == nil: // the headline says that it is
		return "Play it again, keep its last picture, or choose another."
	case s.Problem != "":
		return s.Problem
	case s.Source == "":
		if len(s.Cameras) == 0 {
			return "No camera is plugged in. Plug one in and press Find a camera, or choose a video file."
		}
		return "The picture is read as it comes. What you keep goes to the bench and is read the whole way."
	case slices.ContainsFunc(v.Hints, func(h live.Hint) bool { return h.Kind == live.HintCard }):
		// The hint says what is missing, this where it is typed.
		return "Back to the bench leads to the job card. What you keep meanwhile is read as soon as the diameter stands there."
	case v.Phase == live.Following && v.Reading == nil && v.NoNumber != "":
		return v.NoNumber
	case v.Estimate != nil:
		how := "From one picture"
		if n := v.Estimate.Readings; n > 1 {
			how = fmt.Sprintf("Middle of the last %d pictures", n)
		}
		return how + ". Keep one for the full reading."
	}
	return "Show the whole hole, in focus."
}

// Steadiness is a share, 0 (shaking) to 1 (still), and its word.
func (s *State) Steadiness() (share float64, words string) {
	v := s.Shown()
	if v.Phase != live.Following || s.Over { // nothing moves at a film's end
		return 0, ""
	}
	// On a scale of ratios: a tenth of a pixel is still, ten are a blur.
	share = math.Min(math.Max(0.5-0.5*math.Log10(math.Max(v.ShakePx, 1e-3)), 0), 1)
	if v.Steady {
		return share, "Steady"
	}
	return share, "Moving"
}

// Rate says how many readings a second there are, or pictures where none gives one.
func (s *State) Rate() string {
	v := s.Shown()
	if v.PerSecond < 0.5 || v.Phase != live.Following || s.Frozen != nil || s.Over {
		return ""
	}
	what := "reading"
	if v.Reading == nil {
		what = "picture"
	}
	return plural(int(math.Round(v.PerSecond)), what) + " a second"
}

// Best offers the steadiest picture of the last second; "" when there is none.
func (s *State) Best() string {
	m := s.View.Steadiest
	if m == nil || s.Frozen != nil {
		return ""
	}
	return fmt.Sprintf("Keep the steadiest (%.1f s ago)", m.Ago.Seconds())
}

// CanNear says whether there is a hole to come close to, or to go back from.
func (s *State) CanNear() bool { return s.Watching() && (s.Near || s.Shown().Reading != nil) }

// CanKeep says whether there is a picture to keep.
func (s *State) CanKeep() bool { return s.Frozen != nil || (s.Source != "" && s.View.Seq > 0) }

// KeptWords says what was kept, "" = nothing yet.
func (s *State) KeptWords() string {
	n := len(s.Kept)
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%s kept, read on the bench.", plural(n, "picture"))
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func cameraName(n int) string { return fmt.Sprintf("Camera %d", n) }

func filmName(path string) string { return filepath.Base(path) }
