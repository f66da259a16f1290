package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"github.com/spf13/pflag"

	"evenrim/model"
)

// addJobFlags gives a verb the flags of a job card.
func addJobFlags(f *pflag.FlagSet, j *model.JobCard) {
	f.Var(&lengthFlag{mm: &j.BoreMM, eg: "10mm"}, "bore", "bore `diameter` on the drawing: 10mm, 0.5in")
	f.Var(&lengthFlag{mm: &j.ChamferMM, eg: "0.25mm"}, "chamfer", "nominal radial chamfer `width`: 0.25mm, 10thou; may be well off")
	f.Var(&lengthFlag{mm: &j.ThicknessMM, eg: "12mm"}, "thickness", "part `thickness` along the bore; without it the exit rim gives direction only")
	f.Var(&angleFlag{rad: &j.HalfAngle, eg: "45", notZero: true}, "angle", "half-angle of the chamfer from the bore axis in `degrees` (default 45)")
	f.Var(&angleFlag{rad: &j.PlusX, eg: "0"}, "plus-x", "where setup 2's +X points in the photo: `degrees` counter-clockwise from image-right (default 0)")
	f.Var(&lengthFlag{mm: &j.ToleranceMM, eg: "0.001in", notZero: true}, "tolerance", "largest mismatch allowed, a `length` (default 0.001in)")
	f.Var(&choiceFlag{(*string)(&j.Zone), []string{string(model.RoundZone), string(model.SquareZone)}}, "zone", "tolerance zone, `round or square` (default round)")
	f.Var(&choiceFlag{(*string)(&j.Flip), []string{string(model.FlipAboutY), string(model.FlipAboutX)}}, "flip", "axis the part was turned over about, `about-y or about-x` (default about-y)")
	f.BoolVar(&j.ShowInch, "inch", false, "show lengths in inches")
}

// lengthFlag is a flag that takes a length with its unit.
type lengthFlag struct {
	mm      *float64
	text    string
	eg      string
	notZero bool // zero is not "left out" but a slip
}

func (l *lengthFlag) String() string  { return l.text }
func (l *lengthFlag) Type() string    { return "length" }
func (l *lengthFlag) example() string { return l.eg }
func (l *lengthFlag) Set(s string) error {
	mm, err := model.ParseLength(s)
	if err != nil {
		return err
	}
	if l.notZero && mm <= 0 {
		return fmt.Errorf("%q must be more than zero: leave the flag out for the usual %s.", s, l.eg)
	}
	*l.mm, l.text = mm, s
	return nil
}

// angleFlag is a flag that takes degrees.
type angleFlag struct {
	rad     *float64
	text    string
	eg      string
	notZero bool
}

func (f *angleFlag) String() string  { return f.text }
func (f *angleFlag) Type() string    { return "degrees" }
func (f *angleFlag) example() string { return f.eg }
func (f *angleFlag) Set(s string) error {
	rad, err := model.ParseAngleDeg(s)
	if err != nil {
		return err
	}
	if f.notZero && rad == 0 {
		return errors.New("The angle cannot be zero: leave the flag out for the usual " + f.eg + ".")
	}
	*f.rad, f.text = rad, strconv.FormatFloat(rad*180/math.Pi, 'g', 6, 64)
	return nil
}

// choiceFlag is a flag that takes one of a few words.
type choiceFlag struct {
	value   *string
	choices []string
}

func (f *choiceFlag) String() string {
	if f.value == nil {
		return ""
	}
	return *f.value
}
func (f *choiceFlag) Type() string    { return "word" }
func (f *choiceFlag) example() string { return f.choices[0] }
func (f *choiceFlag) Set(s string) error {
	for _, c := range f.choices {
		if s == c {
			*f.value = s
			return nil
		}
	}
	return fmt.Errorf("%q is none of the choices: write %s or %s.", s, f.choices[0], f.choices[1])
}
