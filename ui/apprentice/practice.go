package apprentice

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math/rand/v2"

	"evenrim/model"
	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/kit"
	"evenrim/ui/port"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// drill is the practice section: photos drawn by the program from a seed, at the
// person's level, or photos from the shop's own record.
type drill struct {
	p       *Page
	view    *quizView
	seed    uint64
	n       int // photos of this series so far
	own     bool
	run     int // counts wishes, so that a late picture is dropped
	drawn   *kit.Tap
	records *kit.Tap
	series  *kit.Entry
	doing   *kit.Prose
	box     fyne.CanvasObject
}

func newPractice(p *Page) *drill {
	d := &drill{p: p, seed: p.deps.Seed()}
	d.drawn = choice("Drawn photos", func() { d.from(false) })
	d.records = choice("Our own photos", func() { d.from(true) })
	d.series = kit.NewEntry()
	d.series.SetText(fmt.Sprint(d.seed))
	d.series.OnSubmitted = func(s string) {
		d.setSeed(s)
		p.win.Canvas().Unfocus() // the keys answer
	}
	d.doing = kit.NewProse("", 0.95, kit.Soft)
	sheet := kit.NewButton("Trainer's sheet…", d.saveSheet)
	tools := kit.Column(6, kit.Tall(kit.NewGround(kit.Rule, 0, container.NewStack()), 0, 1), d.doing, flow(6, d.drawn, d.records),
		line(8, kit.NewLine("Series", 0.9, kit.Soft), wide(d.series, 104), kit.Tall(sheet, 0, touch)))
	d.view = newQuizView(p, nil, tools, "Next photo")
	d.view.onNext = d.next
	d.view.onDone = func(done practice.Done) { p.keep(practice.Entry{Exercise: &done}) }
	d.box = d.view.box
	return d
}

func (d *drill) content() fyne.CanvasObject { return d.box }

func (d *drill) show() {
	if d.view.quiz == nil {
		d.next()
	}
}

func (d *drill) typed(r rune)       { d.view.typed(r) }
func (d *drill) key(k fyne.KeyName) { d.view.key(k) }

func (d *drill) refresh() {
	d.drawn.Select(!d.own)
	d.records.Select(d.own)
	d.view.refresh()
}

// setSeed begins another series: the same number gives the same photos again.
func (d *drill) setSeed(s string) {
	var seed uint64
	if _, err := fmt.Sscan(s, &seed); err != nil || seed == 0 {
		d.doing.Set("A series is a whole number: the same number gives the same photos.")
		return
	}
	d.seed, d.n = seed, 0
	d.next()
}

func (d *drill) from(own bool) {
	if own != d.own || d.view.quiz == nil {
		d.own = own
		d.next()
	}
	d.refresh()
}

// next brings the next photo.
func (d *drill) next() {
	d.run++
	d.n++
	run, n := d.run, d.n
	d.view.wait()
	if d.own {
		d.nextOwn(run, n)
		return
	}
	if d.p.deps.Studio == nil {
		return
	}
	e := practice.NewExercise(d.seed, n, d.p.progress.Level())
	d.doing.Set("drawing the photo")
	d.p.crew.Go(func() {
		shot, err := d.p.deps.Studio.Shoot(d.p.ctx, e.Shot)
		d.p.crew.Do(func() {
			if run != d.run {
				return
			}
			d.doing.Set("")
			if err != nil {
				d.p.complain("Practice", err)
				return
			}
			q := study.NewDrawn(e, d.p.units)
			d.view.set(q, shot.Photo, nil)
			d.readDrawn(run, q, shot, e)
		})
	})
}

// readDrawn has the program read the drawn photo, as it would any, while the
// person looks at it: the rims that are laid over it later are its own.
func (d *drill) readDrawn(run int, q *study.Quiz, shot port.Shooting, e practice.Exercise) {
	d.p.crew.Go(func() {
		r, refused := d.p.readPhoto(shot.Source, q.Job)
		drawn := drawnReading(shot, e.Shot, d.p.deps.Solve)
		d.p.crew.Do(func() {
			if run != d.run {
				return
			}
			d.view.read = r
			if r == nil {
				d.view.read, q.Refused = drawn, refused
			}
			if q.Mark != nil { // they were quicker
				d.view.repaint()
				d.view.refresh()
			}
		})
	})
}

// readPhoto opens, traces and solves a photo; without a reading it says why.
func (p *Page) readPhoto(s port.Source, job model.JobCard) (*model.Reading, string) {
	pic, err := p.deps.Photos.Open(p.ctx, s)
	if err != nil {
		return nil, sentence(err)
	}
	defer pic.Close()
	return p.readPicture(pic, job)
}

func (p *Page) readPicture(pic port.Picture, job model.JobCard) (*model.Reading, string) {
	t, err := p.deps.Photos.Trace(p.ctx, pic, job, func(float64, string) {})
	if err != nil {
		return nil, sentence(err)
	}
	r, err := p.deps.Solve(t, job)
	if err != nil {
		return nil, sentence(err)
	}
	r.Photo, r.Version = pic.Info(), p.deps.Version
	return r, ""
}

func sentence(err error) string {
	var refusal *model.Refusal
	if errors.As(err, &refusal) {
		return refusal.Sentence
	}
	return err.Error()
}

// ownPhoto is a kept reading with its photo.
type ownPhoto struct {
	reading *model.Reading
	photo   *image.RGBA
}

var errNoRecords = errors.New("There is no kept reading with a photo to practise on yet: the Bench keeps one of each photo it reads.")

// nextOwn takes one of the last fifty kept readings, in an order that follows from
// the series.
func (d *drill) nextOwn(run, n int) {
	if d.p.deps.Keeper == nil {
		d.view.set(nil, nil, nil)
		d.doing.Set(errNoRecords.Error())
		return
	}
	seed := d.seed
	d.doing.Set("fetching a photo")
	d.p.crew.Go(func() {
		own, err := d.p.fetchOwn(d.p.ctx, seed, n)
		d.p.crew.Do(func() {
			if run != d.run {
				return
			}
			if err != nil {
				d.view.set(nil, nil, nil)
				d.doing.Set(err.Error())
				return
			}
			d.doing.Set("")
			q := study.NewOwn(own.reading.Photo.Name, own.reading.Job, d.p.units)
			k := practice.KeyOf(own.reading)
			q.Key = &k
			d.view.set(q, own.photo, own.reading)
		})
	})
}

func (p *Page) fetchOwn(ctx context.Context, seed uint64, n int) (ownPhoto, error) {
	last, err := p.deps.Keeper.Last(ctx, 50)
	if err != nil {
		return ownPhoto{}, err
	}
	order := rand.New(rand.NewPCG(seed, 7)).Perm(len(last))
	for i := range order {
		k := last[order[(n-1+i)%len(order)]]
		r, src, err := p.deps.Keeper.Reopen(ctx, k.ID)
		if err != nil {
			continue // a reading without its photo, from a table
		}
		pic, err := p.deps.Photos.Open(ctx, src)
		if err != nil {
			continue
		}
		photo := pic.RGBA()
		pic.Close()
		return ownPhoto{r, photo}, nil
	}
	return ownPhoto{}, errNoRecords
}
