package main

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"evenrim/model/practice"
	"evenrim/model/record"
	"evenrim/model/report"
	"evenrim/ui/port"
)

// apprenticeUse is what the flags of the apprentice verb ask for.
type apprenticeUse struct {
	sheet, table, forget string
	series               uint64
	count, level         int
	inch                 bool
}

func newApprenticeCmd(a *app) *cobra.Command {
	u := &apprenticeUse{}
	cmd := &cobra.Command{
		Use:   "apprentice --sheet FILE | --table NAME | --forget NAME",
		Short: "Print a trainer's sheet; save or delete a person's practice",
		Long: `Prints practice photos to judge by eye, with the answers on the last page. The same
series and level give the same photos, here and on the window's Apprentice page.
It also writes a person's practice as a table, and deletes it when they ask.`,
		Example: `  evenrim apprentice --sheet practice.pdf --series 7 --level 3
  evenrim apprentice --table Ada > ada.csv
  evenrim apprentice --forget Ada`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return u.run(cmd.Context(), a) },
	}
	f := cmd.Flags()
	f.StringVar(&u.sheet, "sheet", "", "write a practice sheet with answers to this PDF `file`")
	f.Uint64Var(&u.series, "series", 1, "`number` that the photos of the sheet follow from")
	f.IntVar(&u.count, "count", 8, "how many photos the sheet has, `1 to 60`")
	f.IntVar(&u.level, "level", 1, "how hard they are, `1 to 8`")
	f.BoolVar(&u.inch, "inch", false, "inches, on Letter paper (default: mm, on A4)")
	f.StringVar(&u.table, "table", "", "write the practice of the person of this `nickname` to stdout as CSV")
	f.StringVar(&u.forget, "forget", "", "delete the practice of the person of this `nickname` for good")
	return cmd
}

func (u *apprenticeUse) run(ctx context.Context, a *app) error {
	asked := 0
	for _, s := range []string{u.sheet, u.table, u.forget} {
		if s != "" {
			asked++
		}
	}
	switch {
	case asked != 1:
		return usage("Say what to do by one of --sheet FILE, --table NAME or --forget NAME; practice itself is in the window, on the page Apprentice.")
	case u.sheet != "":
		return u.print(ctx, a)
	case u.table != "":
		return u.withProgress(ctx, a, u.table, func(_ *record.Store, p practice.Progress) error { return p.WriteCSV(a.out) })
	}
	return u.withProgress(ctx, a, u.forget, func(s *record.Store, p practice.Progress) error {
		if err := s.ForgetPerson(ctx, p.Person); err != nil {
			return err
		}
		a.say("Deleted %d entries of %s.", len(p.Entries), p.Person)
		return nil
	})
}

// withProgress hands a person's entries on; a name without any is wrong use.
func (u *apprenticeUse) withProgress(ctx context.Context, a *app, name string, do func(*record.Store, practice.Progress) error) error {
	s, err := a.openKept(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	kept, err := s.Exercises(ctx, name)
	if err != nil {
		return err
	}
	if len(kept) == 0 {
		return usage("There is no practice of %q in this record: names are as written on the page Apprentice, capitals included.", name)
	}
	p, err := progressOf(name, kept)
	if err != nil {
		return err
	}
	return do(s, p)
}

// print draws the photos and writes the sheet.
func (u *apprenticeUse) print(ctx context.Context, a *app) error {
	if u.level < practice.LeastLevel || u.level > practice.MostLevel {
		return usage("--level goes from %d to %d.", practice.LeastLevel, practice.MostLevel)
	}
	if u.count < 1 || u.count > 60 {
		return usage("--count goes from 1 to 60 photos.")
	}
	if err := checkPDF("sheet", u.sheet); err != nil {
		return err
	}
	sheet := &report.PracticeSheet{Inch: u.inch, Version: versionText(), MadeAt: time.Now()}
	var studio port.Photographer = studio{}
	for n := 1; n <= u.count; n++ {
		e := practice.NewExercise(u.series, n, u.level)
		shot, err := studio.Shoot(ctx, e.Shot)
		if err != nil {
			return err
		}
		sheet.Exercises, sheet.Photos = append(sheet.Exercises, e), append(sheet.Photos, shot.Photo)
	}
	paper := report.A4
	if u.inch {
		paper = report.Letter
	}
	if err := report.Save(u.sheet, paper, sheet.Pages()...); err != nil {
		return cannotWrite(u.sheet, err)
	}
	a.say("Wrote %d photos with answers to %s.", u.count, u.sheet)
	return nil
}
