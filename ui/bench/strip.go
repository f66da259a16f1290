package bench

import (
	"image"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// strip is the signature picture: the rim unrolled, the width curve below it.
type strip struct {
	p       *Page
	drawing *kit.Drawing
	idle    *kit.Prose
	content fyne.CanvasObject

	of    int // ID of the photo shown
	shown *model.Reading
	units state.Units
	photo *image.RGBA
}

func newStrip(p *Page) *strip {
	s := &strip{p: p}
	s.drawing = kit.NewDrawing(p.crew, fyne.NewSize(240, 90))
	s.idle = kit.NewProse("The rim unrolled: an even band is an aligned part, a slow wave is a mismatch.", 1, kit.Soft).Centred()
	s.content = container.NewStack(s.drawing, kit.Column(0, s.idle))
	return s
}

func (s *strip) refresh() {
	ph := s.p.state.Selected()
	if ph == nil || ph.Reading == nil {
		s.idle.Show()
		if s.shown != nil {
			s.shown, s.photo = nil, nil
			s.drawing.Paint(nil)
		}
		return
	}
	s.idle.Hide()
	var src *image.RGBA
	if pyramid := s.p.shelf.pictures[ph.ID]; pyramid != nil {
		src = pyramid.Photo()
	}
	if s.shown == ph.Reading && s.units == s.p.state.Units && s.photo == src {
		return
	}
	if s.of != ph.ID { // another photo's rim must not stand beside this one's numbers
		s.of = ph.ID
		s.drawing.Paint(nil)
	}
	s.shown, s.units, s.photo = ph.Reading, s.p.state.Units, src
	s.drawing.Paint(rimPainter(src, ph.Reading, s.units))
}
