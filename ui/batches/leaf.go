package batches

import (
	"image"

	"evenrim/model/chart"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// plotDPI is a plain screen's resolution; k scales it to the device.
const plotDPI = 96

// painter draws a figure that make dresses in the palette in force.
func painter(make func(chart.Style) chart.Figure) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		s := p.Style
		s.Raised = p.Paper // it lies on the page itself
		return chart.Render(make(s), w, h, plotDPI*k)
	}
}

// askFor is the leaf of something that needs batches picked.
type askFor struct {
	words *kit.Prose
	box   *fyne.Container
}

func newAskFor() *askFor {
	a := &askFor{words: kit.NewProse("", 1.1, kit.Soft).Centred()}
	a.box = middled(a.words)
	return a
}

// either shows the words, or the leaf when words is empty.
func (a *askFor) either(words string, leaf fyne.CanvasObject) {
	if words != "" {
		a.words.Set(words)
		a.box.Show()
		leaf.Hide()
		return
	}
	a.box.Hide()
	leaf.Show()
}

// wanted says what is missing for a leaf that needs n batches; "" = nothing.
func (p *Page) wanted(n int, why string) string {
	switch l := p.state.Loaded; {
	case p.archive == nil:
		return ""
	case len(p.state.Picked) < n && n > 1:
		return "Tap two or more batches on the left " + why + "."
	case len(p.state.Picked) < n:
		return "Tap a batch on the left " + why + "."
	case l == nil:
		return "Working it out…"
	case len(l.Batches) < n:
		words := "Nothing fits the search."
		for _, s := range l.Notes {
			words = s
		}
		return words
	}
	return ""
}

// middled puts something to read in the middle of its place, no wider than can be
// read; where it is higher than the place it scrolls.
func middled(o fyne.CanvasObject) *fyne.Container {
	return container.NewStack(container.NewVScroll(&fyne.Container{Layout: middle{}, Objects: []fyne.CanvasObject{o}}))
}

type middle struct{}

func (middle) Layout(o []fyne.CanvasObject, s fyne.Size) {
	w := max(min(s.Width-32, 520*look.Zoom()), 0)
	o[0].Resize(fyne.NewSize(w, o[0].MinSize().Height))
	h := o[0].MinSize().Height
	o[0].Resize(fyne.NewSize(w, h))
	o[0].Move(fyne.NewPos((s.Width-w)/2, max((s.Height-h)/2, 0)))
}

func (middle) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(160, o[0].MinSize().Height)
}

// lines fills a column with sentences.
func lines(box *fyne.Container, tint kit.Tint, times float32, sentences ...string) {
	for _, s := range sentences {
		box.Add(kit.NewProse(s, times, tint))
	}
}

// heading is a small title in a column of sentences.
func heading(words string) fyne.CanvasObject { return kit.NewProse(words, 1.15, kit.Ink).Bold() }
