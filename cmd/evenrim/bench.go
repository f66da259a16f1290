package main

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenrim/vision/synth"
)

// benchVerb shows how well and how fast photos are read.
type benchVerb struct {
	*app
	photos string // folder with truth; "" = drawn photos
	count  int
	turns  int // photos of each hole drawn
	seed   uint64
	brief  bool
	peers  bool
	figure string
	out    string // folder for figures and tables
}

// Figures of a bench.
const (
	figureBias  = "bias"
	figureLimit = "limit"
	figureSpeed = "speed"
)

func newBenchCmd(a *app) *cobra.Command {
	v := &benchVerb{app: a}
	cmd := &cobra.Command{
		Use:   "bench",
		Short: "Show how well and how fast photos of known mismatch are read",
		Long: `Reads photos whose truth is known and prints the error of each, the uncertainty
it stated, whether that covered the error, and the time; then tables by light,
backing, chamfer width and pixel size, and how far the stated probabilities can be
trusted. "Card off" is what is covered where bore, thickness, angle and arrow are off
by as much as the reading's budget says of them. The photos are those of a folder
with an index.json of their truth, or freshly drawn synthetic ones, the six
kinds of light in turn. Where a hole has several, the part turned between them (turn_deg in
index.json, or --turns), what they say joined is judged as well.

--peers reads the same photos by what a practised person would script with
general-purpose libraries instead. --figure makes one of:
  bias   mean error against edge contrast, blur, place within the pixel and rounding
  limit  scatter against the least that the picture's noise allows (Cramer-Rao)
  speed  whole readings against decoding alone; one core against two; memory`,
		Example: "  evenrim bench --photos testdata/photos --peers\n  evenrim bench --count 6000 --brief\n  evenrim bench --count 240 --turns 4 --brief\n  evenrim bench --figure bias --out figures",
		Args:    noArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return v.run(cmd.Context()) },
	}
	f := cmd.Flags()
	f.StringVar(&v.photos, "photos", "", "`folder` with photos and an index.json of their truth")
	f.IntVar(&v.count, "count", 12, "`number` of synthetic photos to draw; for a figure, for each of its points")
	f.IntVar(&v.turns, "turns", 1, "`number` of photos of each hole that is drawn, the part turned between them")
	f.Uint64Var(&v.seed, "seed", 1, "`number` that the drawn photos follow from")
	f.BoolVar(&v.brief, "brief", false, "no line for each photo")
	f.BoolVar(&v.peers, "peers", false, "read the photos by general-purpose libraries too")
	f.StringVar(&v.figure, "figure", "", "make a figure: `bias, limit or speed`")
	f.StringVar(&v.out, "out", "", "`folder` for the figure and the table of every photo")
	return cmd
}

func (v *benchVerb) run(ctx context.Context) error {
	if v.count < 1 || v.count > 100000 {
		return usage("--count is a number from 1 to 100000, not %d.", v.count)
	}
	if v.turns < 1 || v.turns > synth.MostTurns {
		return usage("--turns is a number from 1 to %d, not %d.", synth.MostTurns, v.turns)
	}
	if v.turns > 1 && (v.photos != "" || v.figure != "") {
		return usage("--turns is for the photos that a bench draws: leave out --photos and --figure.")
	}
	if v.out != "" {
		if err := os.MkdirAll(v.out, 0o755); err != nil {
			return usage("The folder %s cannot be made: %s.", v.out, err)
		}
	}
	known := []string{"", figureBias, figureLimit, figureSpeed}
	if !slices.Contains(known, v.figure) {
		return usage("There is no figure %q: it is one of %s.", v.figure, strings.Join(known[1:], ", "))
	}
	if v.figure != "" && (v.photos != "" || v.peers) {
		return usage("--figure draws photos of its own: leave out --photos and --peers.")
	}
	switch v.figure {
	case figureBias:
		return v.bias(ctx)
	case figureLimit:
		return v.limit(ctx)
	case figureSpeed:
		return v.speed(ctx)
	}
	return v.readAll(ctx)
}

// progress draws how far a long run has come on a terminal.
type progress struct {
	*app
	total, done int
	what        string
	drawn       bool
}

func (a *app) progress(what string, total int) *progress {
	return &progress{app: a, total: total, what: what}
}

const barWidth = 30

func (p *progress) step() {
	p.done++
	if !isTerminal(p.errOut) || p.total < 2 {
		return
	}
	full := barWidth * p.done / p.total
	fmt.Fprintf(p.errOut, "\r[%s%s] %d of %d %s\x1b[K", strings.Repeat("#", full), strings.Repeat(".", barWidth-full), p.done, p.total, p.what)
	p.drawn = true
}

func (p *progress) clear() {
	if p.drawn {
		fmt.Fprint(p.errOut, "\r\x1b[K")
		p.drawn = false
	}
}
