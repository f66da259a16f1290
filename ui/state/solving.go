package state

import (
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
)

// Effects are the jobs a change of the card calls for.
type Effects struct {
	Solve []int // photos whose rims stay: a new result at once
	Trace []int // photos to be looked at again
}

// Edit changes a field of the job card as typed. The card then counts for the
// photo shown and for those that wait for a usable card; the others keep theirs
// (UseForAll gives it to all).
func (b *Bench) Edit(field Field, text string) Effects {
	if b.Form.Text(field) == text {
		return Effects{}
	}
	b.remember("type " + string(field))
	b.Form.Set(field, text)
	return b.formChanged()
}

// TurnPlusX takes +X as dragged on the photo shown, rad. It counts for that photo
// alone.
func (b *Bench) TurnPlusX(rad float64) Effects {
	b.remember("turn")
	b.Form.SetPlusX(rad)
	return b.formChanged()
}

// ShowIn changes the units shown. No result changes.
func (b *Bench) ShowIn(u Units) {
	b.Units = u
	b.Form.ShowIn(u)
	for _, p := range b.Photos {
		if !p.FromOld {
			p.Card.ShowInch = u == Inch
		}
	}
}

func (b *Bench) formChanged() Effects {
	card, problem := b.Form.Card()
	var e Effects
	for _, p := range b.Photos {
		shown := p.ID == b.selected
		before := p.Card.PlusX
		if problem != nil {
			if shown || p.follows {
				p.blockedBy(problem)
			}
			if rad, err := b.Form.plusX(); shown && err == nil {
				// The photo's own, whatever else is still wrong.
				p.Card.PlusX = rad
				e = e.and(b.turnsFollow(p, before))
			}
			continue
		}
		switch {
		case shown:
			e.give(p, card, true)
			e = e.and(b.turnsFollow(p, before))
		case p.Stage == NeedsCard || p.follows || p.Card.BoreMM <= 0 && !p.FromOld:
			// It has none of its own yet: it follows what is being typed.
			p.follows = true
			e.give(p, card, false)
		}
	}
	return e
}

// UseForAll gives the job card to every photo on the bench, each with its own +X.
func (b *Bench) UseForAll() Effects {
	card, problem := b.Form.Card()
	var e Effects
	if problem != nil {
		return e
	}
	for _, p := range b.Photos {
		if p.FromOld || !CardDiffers(p.Card, card) {
			continue
		}
		e.give(p, card, false)
	}
	return e
}

// CardsDiffer reports whether some photo on the bench was read with another card
// than the one shown, +X apart.
func (b *Bench) CardsDiffer() bool {
	card, problem := b.Form.Card()
	if problem != nil {
		return false
	}
	for _, p := range b.Photos {
		if !p.FromOld && p.Stage == Done && CardDiffers(p.Card, card) {
			return true
		}
	}
	return false
}

// CardDiffers reports whether a photo's reading may differ under b instead of a. Where +X
// points is left out: it turns a reading without changing what can be read.
func CardDiffers(a, b model.JobCard) bool {
	a.PlusX, b.PlusX = 0, 0
	a.ShowInch, b.ShowInch = false, false
	a.Name, b.Name = "", ""
	return a.WithDefaults() != b.WithDefaults()
}

// give puts a card on a photo and notes which work follows.
func (e *Effects) give(p *Photo, card model.JobCard, withPlusX bool) {
	before := p.Card
	if !withPlusX {
		card.PlusX = p.Card.PlusX
	}
	p.Card = card
	switch {
	case p.Stage == Waiting || p.Stage == Working && p.Trace == nil:
		// Its run will take the card as it stands when it gets there.
	case p.Trace != nil || p.whole != nil:
		if CardDiffers(before, card) || before.PlusX != card.PlusX || p.Reading == nil {
			e.Solve = append(e.Solve, p.ID)
		}
	case p.Stage == NeedsCard, p.Stage == Refused && RimsMayDiffer(before, card):
		e.Trace = append(e.Trace, p.ID)
	}
}

// blockedBy hides the result of a photo whose card can't be read: a number that
// belongs to other inputs is worse than none.
func (p *Photo) blockedBy(problem error) {
	if p.Trace == nil && p.Stage != NeedsCard {
		return
	}
	p.solve++
	p.Stage, p.Problem, p.Reading, p.Kept, p.FromOld = NeedsCard, problem.Error(), nil, "", false
}

// RimsMayDiffer reports whether the finder, told b instead of a, might settle on
// other rims: it is guided by the ratio of chamfer and bore.
func RimsMayDiffer(a, b model.JobCard) bool {
	ra, rb := ratio(a), ratio(b)
	if ra == 0 || rb == 0 {
		return ra != rb
	}
	return math.Abs(math.Log(ra/rb)) > 0.15
}

func ratio(j model.JobCard) float64 {
	if j.BoreMM <= 0 {
		return 0
	}
	return j.ChamferMM / j.BoreMM
}

// WantsRetrace reports whether the photo's rims were found under a card that
// might have led the finder elsewhere. Rims that a person set stay.
func (b *Bench) WantsRetrace(id int) bool {
	p := b.Photo(id)
	return p != nil && p.Trace != nil && !p.FromOld && p.Stage == Done && !p.Help.Any() && p.Trace.HelpedBy == "" && RimsMayDiffer(p.tracedWith, p.Card)
}

// SolveJob is a fit to run off the UI goroutine.
type SolveJob struct {
	ID, Run int
	Trace   model.Trace
	Card    model.JobCard
	Info    model.Photo
	// TracedIn is part of the time that the reading took.
	TracedIn time.Duration
}

// Ask prepares the fit of a photo whose rims are known; ok is false when its card
// isn't usable, which the photo then says.
func (b *Bench) Ask(id int) (job SolveJob, ok bool) {
	p := b.Photo(id)
	if p == nil || p.Trace == nil {
		return SolveJob{}, false
	}
	card := p.Card.WithDefaults()
	if err := checkCard(card); err != nil {
		p.blockedBy(err)
		return SolveJob{}, false
	}
	p.solve++
	if p.Reading == nil || p.Stage == NeedsCard {
		p.Stage, p.Doing = Working, "fitting"
	}
	t := *p.Trace
	t.Warnings = slices.DeleteFunc(slices.Clone(t.Warnings), func(w string) bool { return strings.HasPrefix(w, model.HelpedPrefix) })
	if w := t.HelpWarning(); w != "" {
		t.Warnings = append(t.Warnings, w)
	}
	return SolveJob{ID: id, Run: p.solve, Trace: t, Card: card, Info: p.Info, TracedIn: p.TracedIn}, true
}

// Solved takes the result of a SolveJob; it is false when a newer one is under way.
func (b *Bench) Solved(job SolveJob, r *model.Reading, err error) bool {
	p := b.Photo(job.ID)
	if p == nil || p.solve != job.Run || p.Trace == nil {
		return false
	}
	p.FromOld, p.Kept, p.CopyOf, p.Doing = false, "", "", ""
	if err != nil {
		p.Stage, p.Reading = Refused, nil
		p.Reason, p.Problem = Explain(err)
		return true
	}
	p.Stage, p.Reading, p.Problem, p.Reason = Done, r, "", ""
	p.answered = job.Run
	b.joinTurns()
	return true
}

// Replaces says which kept reading of the same photo a new one takes the place
// of, and why, in words for the record; "" when it is the photo's first.
func (p *Photo) Replaces() (of, why string) {
	if p.keptBefore == "" {
		return "", ""
	}
	if p.Trace != nil && p.Trace.HelpedBy != "" {
		return p.keptBefore, "a person helped: " + p.Trace.HelpedBy
	}
	return p.keptBefore, cardChange(p.keptCard, p.Card)
}

// cardChange says in what two cards differ.
func cardChange(a, b model.JobCard) string {
	a, b = a.WithDefaults(), b.WithDefaults()
	u := chart.UnitOf(b.ShowInch)
	var parts []string
	length := func(name string, x, y float64) {
		if x != y {
			parts = append(parts, name+" "+u.Plain(x)+" to "+u.Plain(y))
		}
	}
	length("bore", a.BoreMM, b.BoreMM)
	length("chamfer", a.ChamferMM, b.ChamferMM)
	length("thickness", a.ThicknessMM, b.ThicknessMM)
	length("tolerance", a.ToleranceMM, b.ToleranceMM)
	angle := func(name string, x, y float64) {
		if x != y {
			parts = append(parts, name+" "+Degrees(x, 2)+" to "+Degrees(y, 2))
		}
	}
	angle("half-angle", a.HalfAngle, b.HalfAngle)
	angle("+X", a.PlusX, b.PlusX)
	if a.Zone != b.Zone {
		parts = append(parts, "zone "+string(a.Zone)+" to "+string(b.Zone))
	}
	if a.Flip != b.Flip {
		parts = append(parts, "flip "+string(a.Flip)+" to "+string(b.Flip))
	}
	if len(parts) == 0 {
		return "read again"
	}
	return "job card changed: " + strings.Join(parts, ", ")
}

// Explain turns an error into a reason and a sentence for the user. No internals
// reach the screen.
func Explain(err error) (model.Reason, string) {
	var refusal *model.Refusal
	if errors.As(err, &refusal) {
		return refusal.Reason, refusal.Sentence
	}
	var field *model.FieldError
	if errors.As(err, &field) {
		return model.BadInput, field.Sentence
	}
	return model.Unreadable, "This photo could not be read. Try it again, or take another one."
}

// BeingKept stands for a record name while the record is being written.
const BeingKept = "…"
