package record

import (
	"errors"
	"fmt"

	"evenrim/model"
)

// RowError is what is wrong with one row of an import.
type RowError struct {
	Row      int // line in the file, from 1
	Sentence string
}

func (e RowError) Error() string { return fmt.Sprintf("Row %d: %s", e.Row, e.Sentence) }

// ImportResult says what came of an import. The good rows are kept whatever is
// wrong with others; the same file imported again adds nothing.
type ImportResult struct {
	Added int
	Known int // were in the record already, and stay as they are
	// OtherLabels are those of the Known that carry other labels here.
	OtherLabels int
	Sets        int // turn sets added
	Notes       []string
	Errors      []RowError
}

func (r *ImportResult) bad(row int, err error) {
	r.Errors = append(r.Errors, RowError{row, sentenceOf(err)})
}

// sentenceOf is what a person is told of an error.
func sentenceOf(err error) string {
	var p *Problem
	var refusal *model.Refusal
	switch {
	case errors.As(err, &p):
		return p.Sentence
	case errors.As(err, &refusal):
		return refusal.Sentence
	}
	return fmt.Sprintf("It cannot be used: %v.", err)
}
