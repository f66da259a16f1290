// Package words says what the planner found: one shape of answer for window, setup
// sheet and command line, so that all three say the same.
package words

import (
	"math"
	"strconv"
)

// Grade is how an answer turns out; it always stands beside its word.
type Grade int

const (
	Plain Grade = iota
	Good
	Doubt
	Bad
)

// Answer is one section's answer.
type Answer struct {
	Grade    Grade
	Headline string // a few words
	Figure   string // the number to read at arm's length, with Unit
	Unit     string
	About    string   // what the figure is, with its uncertainty
	Lines    []string // sentences: what to do
	Tables   []Table
	Warnings []string
	Cautions []string
	Moves    bool // a machine is told to move: the cautions belong right below the lines
}

// Table is a small table; the first column names the row.
type Table struct {
	Title string
	Head  []string
	Rows  [][]string
	Note  string
}

// Cautions stand under every answer that moves a machine.
var Cautions = []string{
	"Spindle stopped and the part at rest while you touch, measure or photograph; fresh edges cut.",
	"After a new offset run the program above the part first, in single block, hand on the feed hold.",
	"A plan is no inspection: measure the first part. The shop's own rules and a qualified person decide.",
}

// degrees writes an angle with a true minus sign.
func degrees(rad float64, decimals int) string {
	s := strconv.FormatFloat(rad*180/math.Pi, 'f', decimals, 64)
	if s[0] == '-' {
		s = "−" + s[1:]
	}
	return s + "°"
}
