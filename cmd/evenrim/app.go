package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"evenrim/model"
	"evenrim/model/record"
	"evenrim/model/report"
)

// app is what every verb works with.
type app struct {
	out    io.Writer // data
	errOut io.Writer // words and progress
	data   string    // --data; "" = the user's own folder
}

// Exit codes of the contract.
const (
	exitOK     = 0 // every photo got a reading
	exitMissed = 1 // at least one did not; its line says why
	exitUsage  = 2 // wrong use
)

// usageError is wrong use: its sentence says what is right.
type usageError struct{ sentence string }

func (e *usageError) Error() string { return e.sentence }

func usage(format string, a ...any) error { return &usageError{fmt.Sprintf(format, a...)} }

// errMissed ends a verb with exit code 1 without another word: what there is to
// say has been said.
var errMissed = errors.New("not every photo got a reading")

// exitCode says what err is about on stderr and returns the exit code it means.
func (a *app) exitCode(err error) int {
	var wrong *usageError
	var full *outputError
	switch {
	case err == nil:
		return exitOK
	case errors.As(err, &full):
		a.say("%s", full)
		return exitMissed
	case errors.Is(err, errMissed):
		return exitMissed
	case errors.As(err, &wrong):
		a.say("%s", wrong.sentence)
		return exitUsage
	case errors.Is(err, context.Canceled):
		a.say("Stopped.")
		return exitMissed
	}
	a.say("%s", err)
	return exitMissed
}

// say writes a sentence to stderr.
func (a *app) say(format string, args ...any) {
	fmt.Fprintf(a.errOut, format+"\n", args...)
}

// cautionAbout says so where a reading in words moves a machine.
func (a *app) cautionAbout(r *model.Reading, json bool) {
	if x, y := r.WorthMoving(); !json && (x || y) && r.Correction != (model.Correction{}) {
		a.caution()
	}
}

// caution says what to mind before a machine is moved, once after all results in words.
func (a *app) caution() { a.say("%s", report.Caution) }

// fault reports a panic in words a user can act on, and keeps what a developer
// needs in a file.
func (a *app) fault(what any) int {
	a.say("The program failed, a fault of its own: %s", reportFault(what))
	return exitMissed
}

// reportFault writes the details of a panic to a file and says where.
func reportFault(what any) string {
	f, err := os.CreateTemp("", "evenrim-fault-*.txt")
	if err != nil {
		return "please report what you did."
	}
	defer f.Close()
	fmt.Fprintf(f, "evenrim %s\n%v\n\n%s", versionText(), what, debug.Stack())
	return fmt.Sprintf("please report what you did, with the file %s.", f.Name())
}

// openRecord opens the record in the data folder in use.
func (a *app) openRecord(ctx context.Context) (*record.Store, error) {
	return record.Open(ctx, a.dataDir())
}

// openKept opens the record without making one by a slip of the folder's name.
func (a *app) openKept(ctx context.Context) (*record.Store, error) {
	if !record.IsThere(a.dataDir()) {
		return nil, errors.New(a.noRecord())
	}
	return a.openRecord(ctx)
}

func (a *app) noRecord() string {
	return fmt.Sprintf("There is no record in %s yet: keep a reading with evenrim read --save, or name another folder with --data.", a.dataDir())
}

func (a *app) dataDir() string {
	if a.data != "" {
		return a.data
	}
	return record.DefaultDir()
}

// flagError turns the flag library's error into a sentence.
func flagError(err error) error {
	var value *pflag.InvalidValueError
	var unknown *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var number *strconv.NumError // of the library's own kinds of flags
	switch {
	case errors.As(err, &value) && errors.As(err, &number):
		return usage("--%s: %s", value.GetFlag().Name, numberWanted(value.GetFlag(), number))
	case errors.As(err, &value) && value.Unwrap() != nil:
		return usage("--%s: %s", value.GetFlag().Name, value.Unwrap())
	case errors.As(err, &unknown):
		return usage("There is no flag %q here: see evenrim help.", dashes(unknown.GetSpecifiedName()))
	case errors.As(err, &bare):
		return usage("The flag %s needs a value%s.", dashes(bare.GetSpecifiedName()), valueWanted(bare.GetFlag()))
	}
	return usage("%s: see evenrim help.", err)
}

func dashes(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}

// valueWanted ends a sentence about a flag without a value: with an example, or with
// what the flag's help calls its value.
func valueWanted(f *pflag.Flag) string {
	eg := f.DefValue
	if e, ok := f.Value.(interface{ example() string }); ok && eg == "" {
		eg = e.example()
	}
	if eg == "" || eg == "0" || eg == "[]" { // nought stands for a default that the help names
		name, _ := pflag.UnquoteUsage(f)
		return " (" + name + ")"
	}
	return ", for example --" + f.Name + " " + eg
}

// numberWanted says what is wrong with the text given for a number or a switch.
func numberWanted(f *pflag.Flag, err *strconv.NumError) string {
	kind := f.Value.Type()
	switch {
	case kind == "bool":
		return fmt.Sprintf("this is a switch: write --%s alone, or leave it out.", f.Name)
	case errors.Is(err, strconv.ErrRange):
		return fmt.Sprintf("%q is too large a number.", err.Num)
	case strings.HasPrefix(kind, "uint"):
		return fmt.Sprintf("%q is not a whole number from 0 up.", err.Num)
	case strings.HasPrefix(kind, "int"):
		return fmt.Sprintf("%q is not a whole number.", err.Num)
	}
	return fmt.Sprintf("%q is not a number: write for example 2.5.", err.Num)
}
