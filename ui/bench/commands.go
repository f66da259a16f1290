package bench

import (
	"evenrim/ui/state"
)

// The commands of the page: what buttons, menu items and keys do.

// Fit shows the whole photo.
func (p *Page) Fit() { p.viewer.Fit() }

// OneToOne shows a photo pixel as a screen pixel.
func (p *Page) OneToOne() { p.viewer.OneToOne() }

// ZoomBy zooms about the middle of the photo's area.
func (p *Page) ZoomBy(k float64) { p.viewer.ZoomBy(k) }

// ShowHole brings the hole and a little of the face round it into view.
func (p *Page) ShowHole() {
	s := p.state.Selected()
	if s == nil || s.Reading == nil {
		return
	}
	r := s.Reading
	p.viewer.ShowSquare(r.Outer.CX, r.Outer.CY, r.Outer.A*1.15)
}

// ToggleRims hides or shows what is drawn over the photo.
func (p *Page) ToggleRims() {
	p.viewer.SetBare(!p.viewer.Bare())
	p.bar.refresh()
}

// SwapUnits changes between mm and inch.
func (p *Page) SwapUnits() {
	if p.state.Units == state.MM {
		p.ShowIn(state.Inch)
	} else {
		p.ShowIn(state.MM)
	}
}

// ToggleCard shows or hides the job card; ToggleKept the kept readings.
func (p *Page) ToggleCard() { p.drawer.toggle(showCard) }
func (p *Page) ToggleKept() { p.drawer.toggle(showKept) }

// UseCardForAll gives the job card to every photo on the bench.
func (p *Page) UseCardForAll() { p.apply(p.state.UseForAll()) }
