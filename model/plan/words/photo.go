package words

import (
	"fmt"
	"math"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/plan"
)

// Photo says how to photograph.
func Photo(p plan.PhotoPlan, u chart.Unit) Answer {
	a := Answer{Headline: "Hold the lens here"}
	if p.MoveTo {
		a.Headline = "Move to"
	}
	a.Figure, a.Unit, _ = strings.Cut(away(p.DistanceMM, u), " ")
	a.Grade = Good
	how := ""
	switch p.Need {
	case plan.NeedNothing:
		how = "One photo will do; white paper under the part makes it surer."
	case plan.NeedPaper:
		how = "Put white paper or a light under the part, so that the far end of the bore shows: it tells the camera's tilt."
	case plan.NeedTurning:
		a.Grade = Doubt
		how = "Turn the part: four photos at quarter turns, camera and light left where they are. One photo alone is not enough for this tolerance."
	default:
		a.Grade = Bad
		how = "This camera does not reach the goal from any distance: use a closer lens or more pixels, a larger tolerance, or an indicator on the walls."
	}
	if math.IsInf(p.U95MM, 1) {
		a.Figure, a.Unit, a.Headline = "no reading", "", "Too few pixels"
		a.About = fmt.Sprintf("The chamfer is %.1f px wide from %s, and its two rims need 5 to be told apart. Use a closer lens or more pixels.", p.ChamferPx, away(p.DistanceMM, u))
		return a
	}
	a.About = fmt.Sprintf("from lens to part: one pixel is then %s on the part, and a reading is good to ± %s (95 %%). Wanted: ± %s.", pixel(p.PxPerMM, u), small(p.U95MM, u), small(p.GoalMM, u))
	a.Lines = append(a.Lines, how)
	switch p.Need {
	case plan.NeedNothing:
		a.Lines = append(a.Lines, fmt.Sprintf("Keep the camera square to within %s; with white paper %s.", tilt(p.PlainTilt), tilt(p.PaperTilt)))
	case plan.NeedPaper:
		a.Lines = append(a.Lines, fmt.Sprintf("Keep the camera square to within %s.", tilt(p.PaperTilt)))
	default:
		a.Lines = append(a.Lines, fmt.Sprintf("Keep the camera square to within %s, or %s with white paper, and do not touch it between photos.", tilt(p.PlainTilt), tilt(p.PaperTilt)))
	}
	a.Lines = append(a.Lines, fmt.Sprintf("The hole fills %.0f %% of the picture's short side, the chamfer is %.0f px wide. Hole in the middle, focus on the chamfer, highest quality, no digital zoom, no flash.", 100*p.FillShare, p.ChamferPx))
	if p.Photo.Light == plan.SideLight {
		a.Lines = append(a.Lines, "Light from all sides, or paper round the lens, would halve the uncertainty: a rounded edge lit from one side seems to move.")
	}
	if p.Photo.ThicknessMM == 0 {
		a.Warnings = append(a.Warnings, "The thickness is not given: taken as the bore's diameter, so what white paper buys is only roughly known.")
	}
	if p.ChamferPx < 10 {
		a.Warnings = append(a.Warnings, "The two rims of the chamfer lie close together in this photo: they pull at each other, which the figure takes into account.")
	}
	row := func(name string, mm float64) []string {
		if math.IsInf(mm, 1) {
			return []string{name, "no reading"}
		}
		return []string{name, "± " + small(mm, u)}
	}
	a.Tables = []Table{{Title: "What to expect, 95 %", Head: []string{"photo", "reading good to"}, Rows: [][]string{
		row("one, dark below", p.PlainMM), row("one, white paper below", p.PaperMM), row("four, part turned", p.TurnedMM)},
		Note: "Rims as such a photo gives them, solved as a reading is. Of 40 synthetic photos read, 37 were within the figure planned for them (exit rim seen)."}}
	return a
}

// away is how far the lens is from the part.
func away(mm float64, u chart.Unit) string {
	if u == chart.Inch {
		return fmt.Sprintf("%.1f in", mm/model.MMPerInch)
	}
	return fmt.Sprintf("%.0f mm", mm)
}

// pixel is how much of the part one pixel shows.
func pixel(pxPerMM float64, u chart.Unit) string {
	um := 1000 / pxPerMM
	switch {
	case u == chart.Inch:
		return fmt.Sprintf("%.2g thou", um/model.MMPerInch)
	case um < 9.95:
		return fmt.Sprintf("%.1f µm", um)
	}
	return fmt.Sprintf("%.0f µm", um)
}

func tilt(rad float64) string {
	switch d := rad * 180 / math.Pi; {
	case d < 0.5:
		return "less than 1°"
	case d > 7.5:
		return "8° (more was not tried)"
	default:
		return fmt.Sprintf("%.0f°", d)
	}
}
