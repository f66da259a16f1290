package state

import (
	"fmt"
	"strings"

	"evenrim/model"
)

// TakeCard puts a kept job card on the bench: for the photo shown, with its own
// +X, and for those that wait for a card.
func (b *Bench) TakeCard(card model.JobCard) Effects {
	b.remember("")
	plusX := 0.0
	if p := b.Selected(); p != nil {
		plusX = p.Card.PlusX
	}
	card.ShowInch = b.Units == Inch
	card.PlusX = plusX
	b.Form = FormOf(card)
	e := b.formChanged()
	b.Chosen()
	return e
}

// KeepableCard is the card as it is to be kept: without the photo's own +X. The
// problem says, for a person, why it can't be.
func (b *Bench) KeepableCard() (card model.JobCard, problem error) {
	card, problem = b.Form.Card()
	if problem != nil {
		return card, problem
	}
	if card.Name == "" {
		return card, &model.FieldError{Field: string(CardName), Sentence: "Give the card a name to keep it, for example the part's."}
	}
	card.PlusX = 0
	return card, nil
}

// CopyName is a name for a copy of a card that no card has yet.
func CopyName(name string, cards []model.JobCard) string {
	taken := func(n string) bool {
		for _, c := range cards {
			if strings.EqualFold(c.Name, n) {
				return true
			}
		}
		return false
	}
	for i := 1; ; i++ {
		n := name + " copy"
		if i > 1 {
			n = fmt.Sprintf("%s copy %d", name, i)
		}
		if !taken(n) {
			return n
		}
	}
}
