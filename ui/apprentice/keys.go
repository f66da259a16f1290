package apprentice

import (
	"math"

	"evenrim/model"
	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"

	"fyne.io/fyne/v2"
)

// The four questions by keyboard, while nothing has the focus: arrows turn the
// clock's hand, 0 says even, + and − move the size, y, n and ? are the verdict, a
// to f what is seen, Return shows the answer.

// sizeStep is how far + and − move the slider, leastSize its first place from nought: the
// size goes by its square, and smaller ones are below a micrometre.
const sizeStep, leastSize = 0.02, 0.1

func (v *quizView) typed(r rune) {
	q := v.quiz
	if q == nil || q.Mark != nil {
		return
	}
	switch {
	case r == '0':
		v.say((*study.Quiz).SetEven)
	case r == '+' || r == '=':
		v.say(func(q *study.Quiz) { q.SetSlider(min(max(q.Slider()+sizeStep, leastSize), 1)) })
	case r == '-':
		v.say(func(q *study.Quiz) {
			at := q.Slider() - sizeStep
			if at < leastSize-sizeStep/2 { // rounding of the square root
				at = 0
			}
			q.SetSlider(at)
		})
	case r == 'y' || r == 'Y':
		v.say(func(q *study.Quiz) { q.SetVerdict(model.Conforms) })
	case r == 'n' || r == 'N':
		v.say(func(q *study.Quiz) { q.SetVerdict(model.DoesNotConform) })
	case r == '?':
		v.say(func(q *study.Quiz) { q.SetVerdict(model.Undecided) })
	case r >= 'a' && int(r-'a') < len(practice.Causes):
		v.say(func(q *study.Quiz) { q.SetCause(practice.Causes[r-'a']) })
	}
}

func (v *quizView) key(k fyne.KeyName) {
	q := v.quiz
	if q == nil {
		return
	}
	turn := func(by float64) {
		at := q.Answer.WideRad
		if !q.Said(practice.Where) || q.Answer.Even {
			at = math.Pi/2 - by // the first press points to 12
		}
		v.say(func(q *study.Quiz) { q.SetWhere(at + by) })
	}
	switch k {
	case fyne.KeyRight, fyne.KeyDown:
		turn(-halfHour)
	case fyne.KeyLeft, fyne.KeyUp:
		turn(halfHour)
	case fyne.KeyReturn, fyne.KeyEnter:
		if q.Mark == nil {
			v.doReveal()
		} else if v.onNext != nil {
			v.onNext()
		}
	}
}
