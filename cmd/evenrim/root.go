package main

import (
	"github.com/spf13/cobra"
)

// verbs is the list of the program's verbs. A new one lives in a file of its own
// with a constructor like these, and is added here with one line.
//
// A verb writes data to app.out and words to app.errOut; it returns usage(...)
// for wrong use (exit code 2), errMissed when something went wrong that it has
// already said (exit code 1), and otherwise an error whose text is a sentence.
// --data is everybody's: app.openRecord follows it.
var verbs = []func(*app) *cobra.Command{
	newReadCmd,
	newPartCmd,
	newSynthCmd,
	newApprenticeCmd,
	newBatchCmd,
	newStudyCmd,
	newPlanCmd,
	newReportCmd,
	newBenchCmd,
	newRecordsCmd,
	newManCmd,
	newVersionCmd,
}

func newRootCmd(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:   "evenrim",
		Short: "Mismatch between two milling setups, read from a photo of a chamfered bore",
		Long: `Evenrim reads the mismatch between two milling setups from a macro photo of a
chamfered bore: setup 1 cut the bore, setup 2 the chamfer round it, and an uneven
chamfer tells how far and which way the second clamping landed off the first.`,
		SilenceErrors: true,
		SilenceUsage:  true,

		SuggestionsMinimumDistance: 2,
	}
	root.SetOut(a.out)
	root.SetErr(a.errOut)
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return flagError(err) })
	root.PersistentFlags().StringVar(&a.data, "data", "", "data `folder` to use instead of your own")
	addWindow(a, root)
	root.CompletionOptions.HiddenDefaultCmd = true
	for _, v := range verbs {
		root.AddCommand(v(a))
	}
	root.InitDefaultHelpCmd()
	if help, _, err := root.Find([]string{"help"}); err == nil {
		help.Args = helpTopic
	}
	return root
}

// helpTopic catches a topic that is no verb: the library shows the help of the whole program for it.
func helpTopic(cmd *cobra.Command, args []string) error {
	if found, _, err := cmd.Root().Find(args); len(args) > 0 && (err != nil || found == cmd.Root()) {
		return usage("There is no verb %q: see evenrim help.", args[0])
	}
	return nil
}
