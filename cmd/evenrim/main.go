// Evenrim reads the mismatch between two milling setups from a photo of a
// chamfered bore. Without arguments it opens its window; its verbs do the same
// work in a terminal or a script.
package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"syscall"
)

func main() { os.Exit(run()) }

func run() (code int) {
	// The first Ctrl-C ends the work in good order, a second one at once.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	out := &output{to: os.Stdout}
	a := &app{out: out, errOut: os.Stderr}
	defer func() {
		if fault := recover(); fault != nil {
			code = a.fault(fault)
		}
	}()
	root := newRootCmd(a)
	root.SetArgs(os.Args[1:])
	err := root.ExecuteContext(ctx)
	if err == nil || errors.Is(err, errMissed) {
		err = errors.Join(out.err, err)
	}
	return a.exitCode(err)
}
