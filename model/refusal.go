package model

// Reason is why a photo gives no reading. The values are part of the JSON
// contract.
type Reason string

const (
	NoHole       Reason = "no-hole"
	NoChamfer    Reason = "no-chamfer"
	CutOff       Reason = "cut-off"
	Blurred      Reason = "blurred"
	Overexposed  Reason = "overexposed"
	Underexposed Reason = "underexposed"
	Unreadable   Reason = "unreadable"
	TooLarge     Reason = "too-large"
	TooSmall     Reason = "too-small"
	NotFound     Reason = "not-found"
	NotAllowed   Reason = "not-allowed"
	BadInput     Reason = "bad-input"
	Ambiguous    Reason = "ambiguous"
	Unsure       Reason = "unsure"
)

// Refusal is the error of a photo that carries no reading.
type Refusal struct {
	Reason   Reason
	Sentence string // what is wrong and what to do, for the user
	Cause    error  // for the developer; may be nil
	// Candidates are the places that look alike when Reason is Ambiguous, in reading order.
	Candidates []Circle
}

func (r *Refusal) Error() string { return r.Sentence }
func (r *Refusal) Unwrap() error { return r.Cause }

// Refuse returns a Refusal with a sentence for the user.
func Refuse(reason Reason, sentence string) *Refusal {
	return &Refusal{Reason: reason, Sentence: sentence}
}
