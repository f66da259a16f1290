package state

import (
	"fmt"
	"path/filepath"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/port"
)

// MessageKind is why the result sheet shows words instead of a result.
type MessageKind int

const (
	NothingYet MessageKind = iota
	BeingRead
	CardWanted
	NoReading
	Stopped
)

// Message is what the result sheet says while there is no result.
type Message struct {
	Kind       MessageKind
	Head, Text string
	Again      bool // looking again may help
}

// MessageOf words the state of a photo without a result; nil is an empty bench.
func MessageOf(p *Photo) Message {
	if p == nil {
		return Message{NothingYet, "No photo yet", "Open a photo of a chamfered hole, taken from straight above, or drop it here.", false}
	}
	switch p.Stage {
	case Waiting:
		return Message{BeingRead, "Waiting", "Other photos are read first.", false}
	case Working:
		return Message{BeingRead, "Reading", "The rims are looked for. The result appears here.", false}
	case Cancelled:
		return Message{Stopped, "Stopped", "This photo was not read.", true}
	case NeedsCard:
		text := p.Problem
		if err := checkCard(p.Card.WithDefaults()); err != nil && (text == "" || p.Reason == model.BadInput) {
			text = err.Error()
		}
		return Message{CardWanted, "Job card", text, false}
	}
	return Message{NoReading, refusalHead(p.Reason), p.Problem, p.Info.WidthPx > 0 || p.Reason == model.NotFound || p.Reason == model.NotAllowed}
}

// refusalHead says in a few words why there is no reading.
func refusalHead(r model.Reason) string {
	switch r {
	case model.NoHole:
		return "No hole found"
	case model.NoChamfer:
		return "No chamfer found"
	case model.CutOff:
		return "Hole cut off"
	case model.Blurred:
		return "Too blurred"
	case model.Overexposed:
		return "Too bright"
	case model.Underexposed:
		return "Too dark"
	case model.Unreadable:
		return "Not readable"
	case model.TooLarge:
		return "Too large"
	case model.TooSmall:
		return "Too small"
	case model.NotFound:
		return "Photo not there"
	case model.NotAllowed:
		return "Photo locked"
	case model.Ambiguous:
		return "More than one hole"
	}
	return "No reading"
}

// TrayWords is what a photo's card in the tray says.
type TrayWords struct {
	Head                      string // the verdict, or how far it is, in a word or two
	Words                     string
	Verdict                   model.Verdict
	Busy, Waiting, CardWanted bool
}

// TrayLine words a photo in the tray.
func TrayLine(p *Photo, u Units) TrayWords {
	switch p.Stage {
	case Waiting:
		return TrayWords{Head: "Waiting", Waiting: true}
	case Working:
		return TrayWords{Head: "Reading", Words: p.Doing, Busy: true}
	case Cancelled:
		return TrayWords{Head: "Stopped", Words: "look again to read it", Waiting: true}
	case NeedsCard:
		return TrayWords{Head: "Job card wanted", Words: "type the bore", CardWanted: true}
	case Refused:
		return TrayWords{Head: refusalHead(p.Reason), Words: "press for what to do"}
	}
	if p.Reading == nil {
		return TrayWords{Head: "No reading"}
	}
	r := p.Reading
	return TrayWords{
		Head:    report.Headline(r.Verdict),
		Words:   "X " + signed(u, r.Mismatch.X, r.U95MM) + "  Y " + signed(u, r.Mismatch.Y, r.U95MM) + "  " + plusMinus(u, r.U95MM),
		Verdict: r.Verdict,
	}
}

// KeptWords is what a row of the list of kept readings says: whose it is, X and Y, and
// how sure and when.
type KeptWords struct{ Name, Words, When string }

// KeptLine words a kept reading.
func KeptLine(k port.Kept, u Units) KeptWords {
	name := filepath.Base(k.Photo) // a list may have named it with its folders
	if k.Part != "" {
		name = k.Part + ", " + name
	}
	if k.Photos > 0 {
		name = fmt.Sprintf("Turn set of %d, %s", k.Photos, name)
	}
	words := "X " + signed(u, k.Mismatch.X, k.U95MM) + "  Y " + signed(u, k.Mismatch.Y, k.U95MM)
	when := plusMinus(u, k.U95MM) + " " + u.String()
	if !k.MadeAt.IsZero() {
		when += ", " + k.MadeAt.Local().Format("2 Jan 2006 15:04")
	}
	if k.Corrected {
		when += "  (corrected)"
	}
	return KeptWords{name, words, when}
}

// WithSets puts turn sets among the readings, each list the newest first: a set stands
// above the readings that were made before it.
func WithSets(readings, sets []port.Kept) []port.Kept {
	out := make([]port.Kept, 0, len(readings)+len(sets))
	for _, r := range readings {
		for len(sets) > 0 && !sets[0].MadeAt.Before(r.MadeAt) {
			out, sets = append(out, sets[0]), sets[1:]
		}
		out = append(out, r)
	}
	return append(out, sets...)
}
