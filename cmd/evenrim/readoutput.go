package main

import (
	"fmt"
	"os"

	"evenrim/model"
)

// readOutput writes results to stdout, each in one piece, and the progress to a
// terminal on stderr.
type readOutput struct {
	*app
	json         bool
	total        int
	showProgress bool

	done, missed int
	advised      bool // a machine was told to move
	progress     bool // a progress line stands on the terminal
}

// quiet says that progress would disturb: stderr is no terminal, or the results
// themselves appear on one as they come.
func (a *app) quiet() bool { return !isTerminal(a.errOut) || isTerminal(a.out) }

func isTerminal(w any) bool {
	if o, ok := w.(*output); ok {
		w = o.to
	}
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

func (o *readOutput) write(photo string, res result) error {
	o.done++
	if res.err != nil {
		o.missed++
	}
	text, err := o.text(photo, res)
	if err != nil {
		return fmt.Errorf("The result of %s cannot be written: %w", photo, err)
	}
	o.clearProgress()
	// One write: nothing half written, whatever stops the program.
	if _, err := o.out.Write(text); err != nil {
		return err
	}
	if o.showProgress && o.done < o.total {
		fmt.Fprintf(o.errOut, "\r%d of %d photos", o.done, o.total)
		o.progress = true
	}
	return nil
}

func (o *readOutput) clearProgress() {
	if o.progress {
		fmt.Fprint(o.errOut, "\r\x1b[K")
		o.progress = false
	}
}

func (o *readOutput) text(photo string, res result) ([]byte, error) {
	if !o.json {
		if res.err != nil {
			return refusalInWords(photo, model.AsRefusal(res.err)), nil
		}
		x, y := res.reading.WorthMoving()
		o.advised = o.advised || x || y
		return readingInWords(photo, res.reading), nil
	}
	line, err := lineOf(photo, res)
	return append(line, '\n'), err
}

func lineOf(photo string, res result) ([]byte, error) {
	if res.err != nil {
		return model.RefusalLine(photo, res.err)
	}
	return model.ReadingLine(photo, res.reading)
}

// stopped writes the lines of the photos that are still to come when the work is stopped,
// for a program that counts on one each.
func (o *readOutput) stopped(rows []model.ListRow, err error) error {
	for _, r := range rows[o.done:] {
		text, e := o.text(r.Photo, result{err: err})
		if e != nil {
			return e
		}
		if _, e := o.out.Write(text); e != nil {
			return e
		}
	}
	return nil
}

// notKept says on res's line and on stderr that the record has refused it.
func (o *readOutput) notKept(res *result, err error) {
	o.clearProgress()
	o.say("%s: %s", res.reading.Photo.Name, err)
	r := *res.reading // the reading itself never changes
	r.Warnings = append(append([]string(nil), r.Warnings...), "This reading was not kept: "+err.Error())
	res.reading = &r
	o.missed++
}
