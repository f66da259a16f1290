package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// version is the program's version; a release build may set it with -ldflags -X.
var version = "0.1.0"

// versionText is the version with the commit it was built from, as it goes into
// every reading.
func versionText() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return version
	}
	commit, changed := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && len(s.Value) >= 12:
			commit = "+" + s.Value[:12]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = ".changed"
		}
	}
	return version + commit + changed
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
