package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"evenrim/model"
	"evenrim/model/record"
)

func newRecordsCmd(a *app) *cobra.Command {
	v := &recordsVerb{app: a}
	cmd := &cobra.Command{
		Use:   "records [flags]",
		Short: "List, check, save and exchange the readings that were kept",
		Example: `  evenrim records --batch March --verdict undecided
  evenrim records --text "raw edge" --from 2031-03-01 --json
  evenrim records show 17
  evenrim records turns
  evenrim records check
  evenrim records backup shop.zip
  evenrim records restore shop.zip --data newfolder
  evenrim records export march.csv --batch March
  evenrim records export march.zip --batch March
  evenrim records import march.zip`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return v.list(cmd.Context()) },
	}
	v.addFilter(cmd)
	cmd.Flags().IntVar(&v.query.Limit, "limit", 200, "list at most this `number`, the last kept first; 0 = all")
	cmd.Flags().BoolVar(&v.inch, "inch", false, "show lengths in inches")
	cmd.PersistentFlags().BoolVar(&v.json, "json", false, "write one JSON object a line instead of words")
	for _, sub := range []struct {
		use, short string
		args       string // what the one argument is; "" = none
		filter     bool
		run        func(ctx context.Context, arg string) error
	}{
		{"show NUMBER", "Show one reading, or turn set (T3), exactly as it was kept", "the reading's number", false, v.show},
		{"turns", "List the turn sets: what photos of one hole say together", "", false, v.turns},
		{"check", "Verify the database and every photo", "", false, v.check},
		{"backup FILE", "Write the whole record to one new file", "the file to write", false, v.backup},
		{"restore FILE", "Restore a backup into a new folder (--data) and verify it", "the backup", false, v.restore},
		{"export FILE", "Write readings to a new table (.csv) or, whole and with photos, to a .zip", "the file to write", true, v.export},
		{"import FILE", "Add the readings of a .csv or .zip that are not here yet", "the file", false, v.take},
	} {
		c := &cobra.Command{Use: sub.use, Short: sub.short, RunE: func(cmd *cobra.Command, args []string) error {
			want := 1
			if sub.args == "" {
				want = 0
			}
			if len(args) != want {
				if want == 0 {
					return noArgs(cmd, args)
				}
				return usage("evenrim records %s needs one thing named, %s: see evenrim help records %s.", cmd.Name(), sub.args, cmd.Name())
			}
			return sub.run(cmd.Context(), strings.Join(args, ""))
		}}
		if sub.filter {
			v.addFilter(c)
		}
		cmd.AddCommand(c)
	}
	return cmd
}

type recordsVerb struct {
	*app
	query      record.Query
	verdict    string
	from, to   string
	json, inch bool
}

func (v *recordsVerb) addFilter(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&v.from, "from", "", "made on this `day` or later: 2031-03-14")
	f.StringVar(&v.to, "to", "", "made on this `day` or earlier")
	f.StringVar(&v.query.Job, "job", "", "of this job `card`")
	f.StringVar(&v.query.Part, "part", "", "of this `part`")
	f.StringVar(&v.query.Batch, "batch", "", "of this `batch`")
	f.StringVar(&v.query.Operator, "operator", "", "by this `person`")
	f.StringVar(&v.query.Machine, "machine", "", "from this `machine`")
	f.StringVar(&v.query.Tag, "tag", "", "with this `tag`")
	f.StringVar(&v.verdict, "verdict", "", "with this `verdict`: conforms, \"does not conform\" or undecided")
	f.StringVar(&v.query.Text, "text", "", "with these `words` in name, note or tags")
	f.BoolVar(&v.query.WithReplaced, "replaced", false, "also those that a later reading corrects")
}

// filter completes the query from the flags.
func (v *recordsVerb) filter() (record.Query, error) {
	q := v.query
	q.Verdict = model.Verdict(v.verdict)
	switch q.Verdict {
	case "", model.Conforms, model.DoesNotConform, model.Undecided:
	default:
		return q, usage("--verdict: %q is none: write conforms, \"does not conform\" or undecided.", v.verdict)
	}
	day := func(flag, s string, plus int, t *time.Time) error {
		if s == "" {
			return nil
		}
		d, err := time.ParseInLocation("2006-01-02", s, time.Local)
		if err != nil {
			return usage("--%s: %q is no day: write it as 2031-03-14.", flag, s)
		}
		*t = d.AddDate(0, 0, plus)
		return nil
	}
	if q.Limit < 0 {
		return q, usage("--limit: a number of readings, not %d.", q.Limit)
	}
	return q, errors.Join(day("from", v.from, 0, &q.From), day("to", v.to, 1, &q.To))
}

// list writes the readings that fit, page by page, so that memory stays flat.
func (v *recordsVerb) list(ctx context.Context) error {
	q, err := v.filter()
	if err != nil {
		return err
	}
	if !record.IsThere(v.dataDir()) {
		v.say("%s", v.noRecord())
		return nil
	}
	s, err := v.openRecord(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	const page = 500
	left, shown := q.Limit, 0
	for {
		q.Limit = page
		if left > 0 {
			q.Limit = min(page, left-shown)
		}
		entries, err := s.Find(ctx, q)
		if err != nil {
			return err
		}
		if err := v.writeEntries(entries, shown == 0); err != nil {
			return err
		}
		shown += len(entries)
		if len(entries) < q.Limit || shown == left {
			break
		}
		q.Before = entries[len(entries)-1].ID
	}
	if q.Before, q.Limit = 0, 0; !v.json {
		all, err := s.Count(ctx, q)
		if err != nil {
			return err
		}
		v.say("%d of %s shown.", shown, counted(all, "reading"))
	}
	return nil
}

func (v *recordsVerb) show(ctx context.Context, arg string) error {
	if id, ok := setNumber(arg); ok {
		return v.showSet(ctx, id)
	}
	n, err := strconv.ParseInt(arg, 10, 64)
	if err != nil {
		return usage("%q is not the number of a reading: see the first column of evenrim records.", arg)
	}
	s, err := v.openKept(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	r, e, err := s.Get(ctx, record.ID(n))
	if err != nil {
		return err
	}
	text := readingInWords(r.Photo.Name, r)
	if v.json {
		if text, err = model.ReadingLine(r.Photo.Name, r); err != nil {
			return err
		}
		text = append(text, '\n')
	}
	if _, err = v.out.Write(text); err == nil {
		if w := correctedWords(e); w != "" {
			v.say("%s", w)
		}
		v.cautionAbout(r, v.json)
	}
	return err
}

// correctedWords say which reading counts instead of e; "" when e itself does.
func correctedWords(e record.Entry) string {
	if e.ReplacedBy == 0 {
		return ""
	}
	return fmt.Sprintf("Reading %d corrects reading %d and counts instead.", e.ReplacedBy, e.ID)
}

// checkLine is what check writes with --json.
type checkLine struct {
	Readings int      `json:"readings"`
	Photos   int      `json:"photos"`
	Sound    bool     `json:"sound"`
	Faults   []string `json:"faults"`
	Remarks  []string `json:"remarks"`
}

func (v *recordsVerb) check(ctx context.Context, _ string) error {
	s, err := v.openKept(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	var told time.Time
	r, err := s.Check(ctx, func(done, total int) {
		if !v.quiet() && time.Since(told) > 200*time.Millisecond {
			told = time.Now()
			fmt.Fprintf(v.errOut, "\r%d of %d checked", done, total)
		}
	})
	if !told.IsZero() {
		fmt.Fprint(v.errOut, "\r\x1b[K")
	}
	if err != nil {
		return err
	}
	if v.json {
		err = json.NewEncoder(v.out).Encode(checkLine{r.Readings, r.Photos, r.Sound(), append([]string{}, r.Faults...), append([]string{}, r.Remarks...)})
	} else {
		for _, line := range append(append([]string{}, r.Faults...), r.Remarks...) {
			fmt.Fprintln(v.out, line)
		}
		verdict := "Everything that was kept is there, whole."
		if !r.Sound() {
			verdict = "Something that was kept is damaged or gone: restore the last backup into a new folder."
		}
		_, err = fmt.Fprintf(v.out, "%s and %s checked. %s\n", counted(r.Readings, "reading"), counted(r.Photos, "photo"), verdict)
	}
	if err == nil && !r.Sound() {
		return errMissed
	}
	return err
}

func (v *recordsVerb) backup(ctx context.Context, path string) error {
	s, err := v.openKept(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	res, err := s.Backup(ctx, path)
	if err != nil {
		return err
	}
	v.say("%s holds %s and %s.", path, counted(res.Readings, "reading"), counted(res.Photos, "photo"))
	return v.missing(res)
}

func (v *recordsVerb) restore(ctx context.Context, path string) error {
	res, err := record.Restore(ctx, path, v.dataDir())
	if err != nil {
		return err
	}
	v.say("%s now holds %s and %s, all verified.", v.dataDir(), counted(res.Readings, "reading"), counted(res.Photos, "photo"))
	err = v.missing(res)
	if len(res.Damaged) > 0 {
		v.say("%s in %s came out damaged and could not be restored; their readings are there. Copy the backup again from where it was made, or restore an older one into another folder:", counted(len(res.Damaged), "photo"), path)
		for _, sha := range res.Damaged {
			v.say("  %s", sha)
		}
		err = errMissed
	}
	return err
}

func (v *recordsVerb) missing(res record.BackupResult) error {
	if len(res.Missing) == 0 {
		return nil
	}
	v.say("%s could not be saved, because they are damaged or gone:", counted(len(res.Missing), "photo"))
	for _, sha := range res.Missing {
		v.say("  %s", sha)
	}
	return errMissed
}

func (v *recordsVerb) export(ctx context.Context, path string) error {
	q, err := v.filter()
	if err != nil {
		return err
	}
	q.Limit = 0
	s, err := v.openKept(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	var n int
	switch lower := strings.ToLower(path); {
	case path == "-":
		n, err = s.ExportCSV(ctx, v.out, q)
	case strings.HasSuffix(lower, ".csv"):
		n, err = s.ExportCSVFile(ctx, path, q)
	case strings.HasSuffix(lower, ".zip"):
		n, err = s.ExportZip(ctx, path, q)
	default:
		return usage("%s: end the name with .csv for a table, or with .zip for whole readings with their photos.", path)
	}
	if err != nil {
		return err
	}
	v.say("%s exported.", counted(n, "reading"))
	return nil
}

// take is import, which Go keeps for itself.
func (v *recordsVerb) take(ctx context.Context, path string) error {
	in, err := os.Open(path)
	if err != nil {
		return usage("%s cannot be read: check the name and the permissions.", path)
	}
	defer in.Close()
	if info, err := in.Stat(); err != nil || !info.Mode().IsRegular() {
		return usage("%s is not a file: name a .csv or .zip.", path)
	}
	head := make([]byte, 4)
	if _, err := io.ReadFull(in, head); err != nil {
		head = nil // shorter: no zip
	}
	if _, err := in.Seek(0, io.SeekStart); err != nil {
		return err
	}
	s, err := v.openRecord(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	var res record.ImportResult
	if string(head) == "PK\x03\x04" {
		res, err = s.ImportZip(ctx, path)
	} else {
		res, err = s.ImportCSV(ctx, in)
	}
	for _, n := range res.Notes {
		v.say("%s: %s", path, n)
	}
	for _, e := range res.Errors {
		v.say("%s, row %d: %s", path, e.Row, e.Sentence)
	}
	v.say("%s added, %d were here already.", counted(res.Added, "reading"), res.Known)
	if res.Sets > 0 {
		v.say("%s added.", counted(res.Sets, "turn set"))
	}
	if res.OtherLabels > 0 {
		v.say("%d of them carry other labels here than in the file; they were left as they are.", res.OtherLabels)
	}
	if err == nil && len(res.Errors) > 0 {
		return errMissed
	}
	return err
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
