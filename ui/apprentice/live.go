package apprentice

import (
	"strings"

	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
)

// livePicture is a synthetic photo that follows its sliders.
type livePicture struct {
	p      *Page
	live   practice.Live
	values map[practice.Knob]float64
	rims   bool
	pic    *kit.Drawing
	says   []*kit.Line // value beside each slider
	words  *kit.Prose
	button *kit.Button
	box    fyne.CanvasObject
}

func newLivePicture(p *Page, live practice.Live) *livePicture {
	v := &livePicture{p: p, live: live, values: map[practice.Knob]float64{}}
	v.pic = kit.NewDrawing(p.crew, fyne.NewSize(280, 260))
	v.words = kit.NewProse("", 0.95, kit.Ink)
	v.button = kit.NewButton("Show the rims", v.swapRims)
	column := kit.Column(6, &fyne.Container{Layout: aspect{1.08}, Objects: []fyne.CanvasObject{v.pic}})
	for _, s := range live.Sliders {
		v.values[s.Key] = s.Start
		say := kit.NewLine("", 0.95, kit.Ink)
		say.Align = fyne.TextAlignTrailing
		v.says = append(v.says, say)
		w := kit.NewSlider(s.Min, s.Max)
		w.Step = s.Step
		w.SetValue(s.Start)
		w.OnChanged = func(x float64) {
			v.values[s.Key] = x
			v.refresh()
		}
		column.Add(kit.Row(8, 0, kit.NewLine(s.Label, 0.95, kit.Soft), say))
		column.Add(railed(w))
	}
	column.Add(v.words)
	column.Add(kit.Tall(v.button, 0, touch))
	v.box = kit.NewSlip(column)
	v.repaint()
	return v
}

func (v *livePicture) shot() practice.Shot { return v.live.Shot(v.values) }

func (v *livePicture) repaint() {
	v.pic.Paint(livePainter(v.p.ctx, v.p.deps.Studio, v.p.deps.Solve, v.shot(), v.rims))
}

func (v *livePicture) swapRims() {
	v.rims = !v.rims
	v.button.SetText(map[bool]string{false: "Show the rims", true: "Hide the rims"}[v.rims])
	v.refresh()
}

// refresh shows the values, the widths as drawn and a new picture.
func (v *livePicture) refresh() {
	for i, s := range v.live.Sliders {
		v.says[i].Set(study.KnobWords(s, v.values[s.Key]))
	}
	v.words.Set(strings.Join(study.LiveWords(v.shot(), v.p.units), " "))
	v.repaint()
}
