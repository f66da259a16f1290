package ledger

import "evenrim/model/record"

// typing is where labels were typed: beside a reading of a record, or, of 0, beside all
// that are marked.
type typing struct {
	source Source
	of     record.ID
}

// Type keeps labels as they are typed, until they are written.
func (l *Ledger) Type(of record.ID, f LabelForm) { l.typed[typing{l.Source, of}] = f }

// Typed are the labels typed beside a reading and not written yet.
func (l *Ledger) Typed(of record.ID) (f LabelForm, ok bool) {
	f, ok = l.typed[typing{l.Source, of}]
	return f, ok
}

// Wrote notes that the labels typed beside a reading, or beside all that are marked, are in
// the record. What is typed beside another one meanwhile stays.
func (l *Ledger) Wrote(of record.ID) {
	delete(l.typed, typing{l.Source, of})
	delete(l.Marked, of)
	if of == 0 {
		clear(l.Marked)
	}
	if of == 0 || of == l.Chosen {
		l.Chosen = 0
	}
}
