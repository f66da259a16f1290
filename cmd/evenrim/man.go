package main

import (
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// newManCmd writes the manual pages from the same words as evenrim help. It is
// hidden: only the package is built with it.
func newManCmd(a *app) *cobra.Command {
	return &cobra.Command{
		Use:    "man FOLDER",
		Short:  "Write the manual pages to a folder",
		Hidden: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage("evenrim man wants one folder to write to.")
			}
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return fmt.Errorf("The folder for the manual pages cannot be made: %w", err)
			}
			root := cmd.Root()
			root.DisableAutoGenTag = true
			date := sourceDate()
			head := &doc.GenManHeader{Title: strings.ToUpper(root.Name()), Section: "1", Source: "evenrim " + version, Manual: "Evenrim", Date: &date}
			if err := doc.GenManTree(root, head, args[0]); err != nil {
				return fmt.Errorf("The manual pages cannot be written: %w", err)
			}
			return nil
		},
	}
}

// sourceDate is the date of the sources where the build names it (a convention of
// reproducible builds), else today.
func sourceDate() time.Time {
	var s int64
	if _, err := fmt.Sscan(os.Getenv("SOURCE_DATE_EPOCH"), &s); err == nil {
		return time.Unix(s, 0).UTC()
	}
	return time.Now()
}
