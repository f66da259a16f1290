package draft

import "evenrim/model/chart"

// Picture is one drawing of a plan.
type Picture struct {
	Title  string
	Figure chart.Figure
	// Wide is how wide it is against its height at its best.
	Wide float64
}

// Pictures are a plan's drawings in a style.
func (p Plan) Pictures(s chart.Style) []Picture {
	u := p.Units
	switch {
	case p.Flip != nil:
		return []Picture{
			{"Where setup 2 lands: 95 % of parts at each hole", chart.FlipMap(p.Flip.Vise.Outlook, u, s), 1.1},
			{"What it comes from, at the worst place", &chart.SourcesFigure{Outlook: p.Flip.Vise.Outlook, Unit: u, Style: s, Most: 8}, 1.1},
		}
	case p.Sight != nil:
		return []Picture{{"Which width shows a mismatch of the tolerance", chart.SightChart(*p.Sight, u, s), 2.2}}
	case p.Photo != nil:
		return []Picture{{"How the hole should sit in the picture", &chart.FrameFigure{Plan: *p.Photo, Unit: u, Style: s}, 1.7}}
	case p.Found != nil:
		return []Picture{{"Faces, touches and the new feature, as on the drawing", &chart.PickUpFigure{Found: *p.Found, Unit: u, Style: s}, 1.9}}
	}
	return nil
}
