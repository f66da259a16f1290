package draft

import (
	"time"

	"evenrim/model/chart"
	"evenrim/model/report"
)

// Sheet is a plan as a page to print.
func (p Plan) Sheet(version string, at time.Time) report.Page {
	s := chart.Print()
	page := &report.PlanPage{Question: p.Section.Title(), Answer: p.Answer, Version: version, MadeAt: at, Style: s}
	for _, in := range p.Inputs {
		page.Inputs = append(page.Inputs, report.PlanInput{Name: in.Name, Value: in.Value, Own: in.Own})
	}
	for _, q := range p.Pictures(s) {
		page.Pictures = append(page.Pictures, report.PlanPicture{Title: q.Title, Figure: q.Figure, Wide: q.Wide})
	}
	return page
}

// Sheets makes the plans of all sections whose fields can be read and returns
// their pages; the first error if none can.
func (d *Draft) Sheets(version string, at time.Time) ([]report.Page, error) {
	var pages []report.Page
	var first error
	for _, s := range Sections {
		p, err := d.Plan(s, false)
		if err != nil {
			if first == nil {
				first = err
			}
			continue
		}
		pages = append(pages, p.Sheet(version, at))
	}
	if len(pages) == 0 {
		return nil, first
	}
	return pages, nil
}
