package state

import (
	"maps"

	"evenrim/ui/port"
)

// step is how the bench stood before a change by hand: of the job card, of +X, or
// help given to the finder.
type step struct {
	photo int // ID; 0 = none
	form  CardForm
	help  port.Help
}

// mostSteps is how far back undo goes.
const mostSteps = 200

// remember notes how things stand, before a change. Changes with the same key one
// after another are one step: a number typed, an arrow dragged.
func (b *Bench) remember(key string) {
	if key != "" && key == b.lastKey {
		return
	}
	b.lastKey = key
	b.undo = append(b.undo, b.here())
	if len(b.undo) > mostSteps {
		b.undo = b.undo[1:]
	}
	b.redo = nil
}

// Pause ends a run of changes that count as one: the next is a step of its own.
func (b *Bench) Pause() { b.lastKey = "" }

func (b *Bench) here() step {
	s := step{photo: b.selected, form: b.Form.clone()}
	if p := b.Selected(); p != nil {
		s.help = p.Help
	}
	return s
}

// CanUndo and CanRedo say whether there is anything to take back or to do again.
func (b *Bench) CanUndo() bool { return len(b.undo) > 0 }
func (b *Bench) CanRedo() bool { return len(b.redo) > 0 }

// Undo takes the last change by hand back, on the photo that it was made on.
func (b *Bench) Undo() Effects { return b.travel(&b.undo, &b.redo) }

// Redo does again what was taken back last.
func (b *Bench) Redo() Effects { return b.travel(&b.redo, &b.undo) }

func (b *Bench) travel(from, to *[]step) Effects {
	for len(*from) > 0 {
		s := (*from)[len(*from)-1]
		*from = (*from)[:len(*from)-1]
		if s.photo != 0 && b.Photo(s.photo) == nil {
			continue // it was taken off the bench
		}
		if s.photo != 0 {
			b.Select(s.photo)
		}
		*to = append(*to, b.here())
		b.lastKey = ""
		b.Form = s.form.clone()
		if b.Form.Units != b.Units {
			b.Form.ShowIn(b.Units)
		}
		e := b.formChanged()
		if p := b.Photo(s.photo); p != nil {
			e = e.and(b.setHelp(p, s.help))
		}
		return e
	}
	return Effects{}
}

// and joins two effects: what is traced anew isn't solved besides.
func (e Effects) and(o Effects) Effects {
	out := Effects{}
	seen := map[int]bool{}
	for _, id := range append(e.Trace, o.Trace...) {
		if !seen[id] {
			seen[id] = true
			out.Trace = append(out.Trace, id)
		}
	}
	for _, id := range append(e.Solve, o.Solve...) {
		if !seen[id] {
			seen[id] = true
			out.Solve = append(out.Solve, id)
		}
	}
	return out
}

func (f CardForm) clone() CardForm {
	f.text, f.exact = maps.Clone(f.text), maps.Clone(f.exact)
	return f
}
