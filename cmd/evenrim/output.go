package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
)

// output is where results go. It says once in a sentence what stands in the way of
// writing, and remembers it: not every line that is written asks.
type output struct {
	to  io.Writer
	err error // the first
}

func (o *output) Write(p []byte) (int, error) {
	n, err := o.to.Write(p)
	if err != nil {
		if o.err == nil {
			o.err = &outputError{err}
		}
		err = o.err
	}
	return n, err
}

// outputError is a result that could not be written.
type outputError struct{ cause error }

func (e *outputError) Error() string {
	why := e.cause
	var at *fs.PathError
	if errors.As(why, &at) { // the path is /dev/stdout whatever it is sent to
		why = at.Err
	}
	return fmt.Sprintf("The output cannot be written (%s): look for room on the disk, or send it elsewhere.", why)
}

func (e *outputError) Unwrap() error { return e.cause }
