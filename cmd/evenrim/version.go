package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

// version is the program's version; commit is told by the Makefile and empty in
// any other build.
const version = "0.1.0"

var commit string

// versionText is what goes into every reading.
func versionText() string {
	if commit == "" {
		return version
	}
	return version + "+" + commit
}

func newVersionCmd(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Say which version this is",
		Args:  noArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintln(a.out, "evenrim", versionText())
			return err
		},
	}
}

func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usage("evenrim %s takes no %q: see evenrim help %s.", cmd.Name(), args[0], cmd.Name())
	}
	return nil
}
