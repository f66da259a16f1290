package apprentice

import (
	"fmt"
	"image"
	"time"

	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// eye is the eye test: one picture after the other at a stated size, and each
// time the question which side is wide.
type eye struct {
	p     *Page
	test  *practice.EyeTest // nil = not begun
	found *practice.Threshold
	run   int
	ready bool // the trial's picture is on the screen

	pic    *canvas.Image
	taps   [4]*kit.Tap
	hours  [4]*kit.Line // on them
	told   *kit.Line
	count  *kit.Line
	track  *kit.Track
	intro  *fyne.Container
	ring   *fyne.Container
	head   *kit.Line
	figure *kit.Figure
	on     *kit.Line
	lines  [4]*kit.Prose
	result *fyne.Container
	begin  *kit.Button
	stop   *kit.Button
	box    fyne.CanvasObject
}

func newEye(p *Page) *eye {
	e := &eye{p: p}
	e.pic = canvas.NewImageFromImage(blank())
	e.pic.FillMode, e.pic.ScaleMode = canvas.ImageFillStretch, canvas.ImageScaleSmooth
	e.told = kit.NewLine("", 1.05, kit.Ink).Centred()
	e.count = kit.NewLine("", 0.95, kit.Soft).Centred()
	e.track = kit.NewTrack()
	for i, s := range practice.Sides {
		e.hours[i] = kit.NewLine(fmt.Sprint(s.Hour()), 1.2, kit.Ink).Bold()
		e.taps[i] = kit.NewTap(container.NewCenter(e.hours[i]), func() { e.answer(s) })
		e.taps[i].Edge, e.taps[i].Fill, e.taps[i].BarSide, e.taps[i].Pad = kit.Rule, kit.Raised, kit.NoBar, 0
	}
	e.stop = kit.NewButton("Stop", e.cancel)
	e.ring = &fyne.Container{Layout: eyeLayout{}, Objects: []fyne.CanvasObject{e.pic, e.taps[0], e.taps[1], e.taps[2], e.taps[3],
		kit.Column(4, e.count, e.track, e.told), kit.Tall(e.stop, 80, touch)}}
	e.begin = kit.NewButton("Begin", e.start)
	e.begin.Importance = widget.HighImportance
	e.figure = kit.NewFigure("", 2.6, 4.4)
	e.on = kit.NewLine("", 1.4, kit.Ink)
	for i := range e.lines {
		e.lines[i] = kit.NewProse("", 1, kit.Soft)
	}
	e.head = kit.NewLine("", 1.2, kit.Soft)
	e.result = kit.Column(6, e.head, e.figure, e.on, e.lines[0], e.lines[1], e.lines[2], e.lines[3])
	words := kit.Column(10,
		strong(kit.NewProse("What does your eye catch?", 1.7, kit.Ink)),
		kit.NewProse("You see some fifty pictures of a chamfered hole, one after the other. Each is wide on one side: 12, 3, 6 or 9 o'clock. Say which, with the arrow keys or the four fields. If you can't see it, guess: guesses are reckoned with. It takes four minutes.", 1.08, kit.Ink),
		kit.NewProse(fmt.Sprintf("The picture is always %d points square, the hole %.0f across, the chamfer %.0f wide. Sit as you always do and don't lean in. Look as long as you like.", practice.EyePicturePt, practice.EyeHolePt, practice.EyeWidthPt), 1, kit.Soft),
		kit.Tall(e.begin, 160, touch+6),
	)
	e.intro = container.NewStack()
	sheet, _ := paper(kit.NewGround(kit.Paper, 24, kit.Column(26, words, e.result)))
	e.intro.Add(&fyne.Container{Layout: narrow{720}, Objects: []fyne.CanvasObject{sheet}})
	e.box = container.NewStack(e.intro, e.ring)
	e.ring.Hide()
	return e
}

// blank is what stands in the picture's place between two pictures: an even grey,
// so that no trace of the last one stays in the eye.
func blank() image.Image {
	im := image.NewGray(image.Rect(0, 0, 8, 8))
	for i := range im.Pix {
		im.Pix[i] = 110
	}
	return im
}

// narrow keeps text to a width that reads well.
type narrow struct{ most float32 }

func (n narrow) MinSize(o []fyne.CanvasObject) fyne.Size { return o[0].MinSize() }

func (n narrow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	w := min(s.Width, n.most*look.Zoom())
	place(o[0], (s.Width-w)/2, 0, w, s.Height)
}

// eyeLayout: the picture in the middle at its stated size, the four sides round it,
// how far it has come on the left, a way out on the right.
type eyeLayout struct{}

func (eyeLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(practice.EyePicturePt+4*touch, practice.EyePicturePt+2*24+8)
}

func (eyeLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	const d, g = float32(practice.EyePicturePt), float32(4)
	const side = float32(touch + 20)
	t := min(max((s.Height-d)/2-g, 24), touch)
	x, y := (s.Width-d)/2, max((s.Height-d)/2, t+g)
	place(o[0], x, y, d, d)
	place(o[1], x, y-t-g, d, t)
	place(o[2], x+d+g, y, side, d)
	place(o[3], x, y+d+g, d, t)
	place(o[4], x-side-g, y, side, d)
	room := x - side - 2*g
	m := o[5].MinSize()
	place(o[5], 12, y+d/2-m.Height/2, max(room-20, 60), m.Height)
	b := o[6].MinSize()
	place(o[6], s.Width-b.Width-12, y+d/2-b.Height/2, b.Width, b.Height)
}

func (e *eye) content() fyne.CanvasObject { return e.box }
func (e *eye) show()                      {}
func (e *eye) typed(rune)                 {}

func (e *eye) key(k fyne.KeyName) {
	side, ok := map[fyne.KeyName]practice.Side{fyne.KeyUp: practice.Twelve, fyne.KeyRight: practice.Three, fyne.KeyDown: practice.Six, fyne.KeyLeft: practice.Nine}[k]
	switch {
	case ok:
		e.answer(side)
	case k == fyne.KeyEscape:
		e.cancel()
	case k == fyne.KeyReturn || k == fyne.KeyEnter:
		if e.test == nil {
			e.start()
		}
	}
}

// start begins a test.
func (e *eye) start() {
	if e.p.deps.Studio == nil {
		return
	}
	e.test = practice.NewEyeTest(e.p.deps.Seed())
	e.told.Set("")
	for _, l := range e.hours { // the picture keeps its size at any text size, and so must they
		l.Times = 1.2 / look.Zoom()
		l.Refresh()
	}
	e.intro.Hide()
	e.ring.Show()
	e.p.win.Canvas().Unfocus() // the arrow keys answer
	e.shoot()
}

// cancel ends a test without a result.
func (e *eye) cancel() {
	if e.test == nil {
		return
	}
	e.run++
	e.test = nil
	e.ring.Hide()
	e.intro.Show()
}

// shoot draws the trial's picture and shows it.
func (e *eye) shoot() {
	e.run++
	run := e.run
	e.ready = false
	e.pic.Image = blank()
	e.pic.Refresh()
	done, about := e.test.Progress()
	e.count.Set(fmt.Sprintf("picture %d", done+1))
	e.track.Set(float64(done) / float64(about))
	s := e.test.Trial().Shot
	e.p.crew.Go(func() {
		shot, err := e.p.deps.Studio.Shoot(e.p.ctx, s)
		e.p.crew.Do(func() {
			if run != e.run {
				return
			}
			if err != nil {
				e.cancel()
				e.p.complain("The eye test", err)
				return
			}
			e.pic.Image = shot.Photo
			e.pic.Refresh()
			e.ready = true
		})
	})
}

// answer takes the side that was chosen for the picture on the screen.
func (e *eye) answer(s practice.Side) {
	if e.test == nil || !e.ready {
		return
	}
	was := e.test.Trial().Wide
	if e.test.Answer(s) {
		e.told.Set("right")
	} else {
		e.told.Set(fmt.Sprintf("it was %d", was.Hour()))
	}
	if e.test.Ended() {
		e.finish()
		return
	}
	e.shoot()
}

// finish shows the result and keeps it.
func (e *eye) finish() {
	t := e.test.Result(e.p.person, time.Now())
	e.found = &t
	e.cancel()
	e.p.keep(practice.Entry{Eye: &t})
	e.refresh()
}

func (e *eye) refresh() {
	if e.found != nil && e.found.Person != e.p.person {
		e.found = nil // somebody else's eye
	}
	t := e.found
	if t == nil {
		if last, ok := e.p.progress.Eye(); ok {
			t = &last
		}
	}
	if t == nil {
		e.result.Hide()
		return
	}
	s := study.EyeWords(*t, e.p.units)
	e.head.Set(s.Head)
	e.figure.Set(s.Number, s.Unit, "")
	e.on.Set(s.On)
	for _, o := range []fyne.CanvasObject{e.figure, e.on, e.lines[2]} { // what a number is for
		if s.Number == "" {
			o.Hide()
		} else {
			o.Show()
		}
	}
	e.lines[0].Set(s.Interval + ". " + s.Share + ".")
	e.lines[1].Set(s.Note)
	e.lines[2].Set(study.ShownWords(*t))
	kept := "Measured on " + t.At.Local().Format("2 January 2006") + ". The Planner can reckon with it."
	switch {
	case !t.Sure:
		kept = "Measured on " + t.At.Local().Format("2 January 2006") + "."
	case e.p.person == "":
		kept = "Not kept, because nobody gave a name: write one under Progress, then the Planner can reckon with it."
	}
	e.lines[3].Set(kept)
	e.result.Show()
	e.box.Refresh()
}
