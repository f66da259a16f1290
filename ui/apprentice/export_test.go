package apprentice

import (
	"strings"

	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/kit"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

// What tests may see and do besides the page's own methods.

func (p *Page) Settle()            { p.crew.Settle() }
func (p *Page) TurnTo(at int)      { p.turnTo(at) }
func (p *Page) Person() string     { return p.person }
func (p *Page) SetPerson(n string) { p.setPerson(n) }
func (p *Page) Level() int         { return p.progress.Level() }

func (p *Page) Drill() *quizView                    { return p.sections[1].(*drill).view }
func (p *Page) Along() *quizView                    { return p.sections[3].(*along).view }
func (p *Page) OwnPhotos()                          { p.sections[1].(*drill).from(true) }
func (p *Page) SetSeries(s string)                  { p.sections[1].(*drill).setSeed(s) }
func (p *Page) Next()                               { p.sections[1].(*drill).next() }
func (p *Page) WriteSheet(f string)                 { p.sections[1].(*drill).writeSheet(f) }
func (p *Page) TrySample()                          { p.sections[3].(*along).trySample() }
func (p *Page) AlongEntry(f state.Field) *kit.Entry { return p.sections[3].(*along).entries[f] }
func (p *Page) AlongBore() float64                  { c, _ := p.sections[3].(*along).form.Card(); return c.BoreMM }
func (p *Page) OpenAlong(s port.Source)             { p.sections[3].(*along).open(s) }
func (p *Page) Forget(n string)                     { p.sections[4].(*progressView).forgetNow(n) }

func (v *quizView) Quiz() *study.Quiz       { return v.quiz }
func (v *quizView) Reveal()                 { v.doReveal() }
func (v *quizView) HasRims() bool           { return v.read != nil && v.quiz != nil && v.quiz.Mark != nil }
func (v *quizView) Say(f func(*study.Quiz)) { v.say(f) }

// Eye test.
func (p *Page) eye() *eye                 { return p.sections[2].(*eye) }
func (p *Page) StartEye()                 { p.eye().start() }
func (p *Page) EyeRuns() bool             { return p.eye().test != nil }
func (p *Page) EyeTrial() practice.Trial  { return p.eye().test.Trial() }
func (p *Page) EyePicture() *canvas.Image { return p.eye().pic }

// Words returns every visible piece of text on the page, wrapped text joined.
func (p *Page) Words() string {
	return strings.Join(uitest.Words(p.content), "\n")
}

// Button finds a visible button by its words.
func (p *Page) Button(words string) *kit.Button {
	var found *kit.Button
	uitest.Walk(p.content, func(o fyne.CanvasObject) bool {
		if b, ok := o.(*kit.Button); ok && b.Text == words {
			found = b
		}
		return true
	})
	return found
}

// Tap finds a visible place to press by a line of its words.
func (p *Page) Tap(words string) *kit.Tap {
	var found *kit.Tap
	uitest.Walk(p.content, func(o fyne.CanvasObject) bool {
		if t, ok := o.(*kit.Tap); ok {
			uitest.Walk(t.Content, func(c fyne.CanvasObject) bool {
				switch w := c.(type) {
				case *kit.Line:
					if w.Text == words {
						found = t
					}
				case *kit.Prose:
					if w.Text == words {
						found = t
					}
				}
				return true
			})
		}
		return true
	})
	return found
}

// Clock is the visible clock face.
func (p *Page) Clock() *clockFace {
	var found *clockFace
	uitest.Walk(p.content, func(o fyne.CanvasObject) bool {
		if c, ok := o.(*clockFace); ok && !c.locked {
			found = c
		}
		return true
	})
	return found
}

// FieldThatSays is the visible field with that placeholder.
func (p *Page) FieldThatSays(words string) (found *kit.Entry) {
	uitest.Walk(p.content, func(o fyne.CanvasObject) bool {
		if e, ok := o.(*kit.Entry); ok && e.PlaceHolder == words {
			found = e
		}
		return true
	})
	return found
}

// Sliders are the visible ones.
func (p *Page) Sliders() (out []*kit.Slider) {
	uitest.Walk(p.content, func(o fyne.CanvasObject) bool {
		if s, ok := o.(*kit.Slider); ok {
			out = append(out, s)
		}
		return true
	})
	return out
}
