package worksheet

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"evenrim/model"
	"evenrim/ui/port"
)

// IsWalls says that a list is one of walls: its header names where they face.
func IsWalls(data []byte) bool {
	for l := range bytes.Lines(data) {
		l = bytes.TrimSpace(l)
		if len(l) > 0 && l[0] != '#' {
			return bytes.Contains(bytes.ToLower(l), []byte("normal_deg"))
		}
	}
	return false
}

// OpenReadings lays the first part of a list of photos on the sheet; dir is the
// list's folder, name the part's where the list has none, and files the photos
// that are at hand instead of in the folder. The error is for the user.
func (s *Sheet) OpenReadings(data []byte, dir, name string, files map[string][]byte) error {
	list, err := model.ParseList(data, dir, model.JobCard{})
	if err != nil {
		return err
	}
	s.lists, s.parts, s.Notes = map[string][]model.ListRow{}, nil, list.Notes
	for i, r := range list.Rows {
		if r.Err != nil {
			s.Notes = append(s.Notes, model.AsRefusal(r.Err).Sentence)
			continue
		}
		if data := files[r.Photo]; data != nil {
			list.Rows[i].Path = ""
		}
		part := r.Part
		if part == "" {
			part = name
		}
		if s.lists[part] == nil {
			s.parts = append(s.parts, part)
		}
		s.lists[part] = append(s.lists[part], r)
	}
	if len(s.parts) == 0 {
		return model.Refuse(model.BadInput, "The list has no photo that can be read.")
	}
	if s.Sample {
		s.walls = nil // the sample's walls are of no other part
	}
	s.OpenPart(s.parts[0], files)
	return nil
}

// Parts are the parts of the last list.
func (s *Sheet) Parts() []string { return s.parts }

// OpenPart lays another part of the last list on the sheet.
func (s *Sheet) OpenPart(name string, files map[string][]byte) {
	s.Name, s.Holes, s.Walls, s.Size, s.Sample = name, nil, nil, model.Vec{}, files != nil
	s.Chosen.Kind, s.slips = Nothing, nil
	byKey := map[string]*Hole{}
	for _, r := range s.lists[name] {
		key := r.Hole
		if key == "" && r.HoleAt != nil {
			key = fmt.Sprint(*r.HoleAt)
		}
		h := byKey[key]
		if h == nil {
			h = &Hole{Name: r.Hole}
			byKey[key] = h
			s.Holes = append(s.Holes, h)
		}
		if r.HoleAt != nil {
			if at := *r.HoleAt; h.Placed && h.At != at {
				s.Notes = append(s.Notes, fmt.Sprintf("Hole %s has two places in the list. The last, %s, %s, is taken: check it.", h.Name, s.Units.Plain(at.X), s.Units.Plain(at.Y)))
			}
			h.At, h.Placed = *r.HoleAt, true
		}
		src := port.Source{Path: r.Path, Name: r.Photo}
		if data := files[r.Photo]; data != nil {
			src = port.Source{Name: r.Photo, Data: data}
		}
		s.addPhoto(h, src, r.Job).Turn = r.Turn
		s.Card = r.Job
	}
	s.Card.PlusX = 0
	s.takeWalls()
	s.WorkOut()
	s.Saving()()
}

// OpenWalls lays the walls of a list on the sheet, in the place of those there:
// this part's and those that name none. The error is for the user.
func (s *Sheet) OpenWalls(data []byte) error {
	rows, err := model.ParseWalls(data, s.Flip)
	if err != nil {
		return err
	}
	unsaved := s.Unsaved()
	s.walls = nil
	for _, r := range rows {
		if r.Err != nil {
			s.Notes = append(s.Notes, model.AsRefusal(r.Err).Sentence)
			continue
		}
		s.walls = append(s.walls, r)
	}
	if s.Name == "" && len(s.walls) > 0 {
		s.Name = s.walls[0].Part
	}
	s.Walls = nil
	s.takeWalls()
	if len(s.Walls) == 0 && len(s.walls) > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("No wall of the list belongs to %s: its column part names others.", orThis(s.Name)))
	}
	s.WorkOut()
	if !unsaved {
		s.Saving()()
	}
	return nil
}

func orThis(name string) string {
	if name == "" {
		return "this part"
	}
	return name
}

func (s *Sheet) takeWalls() {
	for _, r := range s.walls {
		if r.Part == "" || r.Part == s.Name {
			s.Walls = append(s.Walls, wallOf(r))
		}
	}
}

func millimetres(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + "mm" }
func inDegrees(rad float64) string {
	return strconv.FormatFloat(math.Round(rad*180/math.Pi*1e6)/1e6+0, 'f', -1, 64)
}

// written is a table as csv.
func written(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.WriteAll(rows) // a Buffer takes everything
	return b.Bytes()
}

// ReadingsCSV is the part as a list of photos that can be opened again. pathOf says
// how each photo is named in it.
func (s *Sheet) ReadingsCSV(pathOf func(*Photo) string) []byte {
	rows := [][]string{{"photo", "bore", "chamfer", "angle", "thickness", "plus_x", "tolerance", "part", "hole", "hole_x", "hole_y", "turn"}}
	length := func(v float64) string {
		if v <= 0 {
			return ""
		}
		return millimetres(v)
	}
	for _, h := range s.Holes {
		for _, p := range h.Photos {
			c := p.Card
			r := []string{pathOf(p), length(c.BoreMM), length(c.ChamferMM), "", length(c.ThicknessMM), inDegrees(c.PlusX), length(c.ToleranceMM), s.Name, h.Name, "", "", ""}
			if c.HalfAngle > 0 {
				r[3] = inDegrees(c.HalfAngle)
			}
			if h.Placed {
				r[9], r[10] = millimetres(h.At.X), millimetres(h.At.Y)
			}
			if p.Turn != nil {
				r[11] = inDegrees(*p.Turn)
			}
			rows = append(rows, r)
		}
	}
	return written(rows)
}

// WallsCSV is the part's walls as a list that can be opened again; nil without
// walls. A trace across a seam is written as the step that it gave.
func (s *Sheet) WallsCSV() []byte {
	rows := [][]string{{"part", "wall", "at_x", "at_y", "normal_deg", "heights", "spacing", "resolution"}}
	for _, w := range s.Walls {
		v := w.Wall
		if len(v.StepMM) == 0 {
			continue
		}
		var heights []string
		for _, h := range v.StepMM {
			heights = append(heights, millimetres(h))
		}
		r := []string{s.Name, v.Name, millimetres(v.At.X), millimetres(v.At.Y), inDegrees(v.NormalRad), strings.Join(heights, " "), "", ""}
		if w.GapMM != 0 {
			r[6] = millimetres(w.GapMM)
		}
		if v.ResolutionMM > 0 {
			r[7] = millimetres(v.ResolutionMM)
		}
		rows = append(rows, r)
	}
	if len(rows) == 1 {
		return nil
	}
	return written(rows)
}

// ResultsCSV is what was worked out, mm and degrees; nil while there is nothing.
func (s *Sheet) ResultsCSV() []byte {
	if s.Report == nil {
		return nil
	}
	f := s.Report.Fit
	n := func(v float64) string { return strconv.FormatFloat(v, 'f', 6, 64) }
	known := func(ok bool, v float64) string {
		if !ok {
			return ""
		}
		return n(v)
	}
	root := func(v float64) float64 { return math.Sqrt(math.Max(v, 0)) }
	rows := [][]string{{"what", "name", "x_mm", "y_mm", "value", "u95", "residual_x", "residual_y", "verdict", "p_within", "left_out"}}
	both := f.KnowsX && f.KnowsY
	u95 := ""
	if both {
		u95 = n(model.U95(f.ShiftCov()))
	}
	rows = append(rows, []string{"shift_mm", f.Part, known(f.KnowsX, f.Shift.X), known(f.KnowsY, f.Shift.Y), "", u95, "", "", string(f.Verdict), known(!math.IsNaN(f.PWithin), f.PWithin), ""})
	if f.KnowsRotation {
		rows = append(rows, []string{"rotation_deg", f.Part, "", "", n(f.RotationRad * 180 / math.Pi), n(model.Factor95 * root(f.Cov[2][2]) * 180 / math.Pi), "", "", "", "", ""})
	}
	if f.KnowsSize {
		rows = append(rows, []string{"size_difference_mm", f.Part, "", "", n(f.SizeMM), n(model.Factor95 * root(f.Cov[3][3])), "", "", "", "", ""})
	}
	for _, h := range f.Holes {
		rows = append(rows, []string{"hole_mm", h.Hole, n(h.Mismatch.X), n(h.Mismatch.Y), "", n(model.U95(h.Cov)), n(h.Residual.X), n(h.Residual.Y), string(h.Verdict), n(h.PWithin), strconv.FormatBool(h.LeftOut)})
	}
	for _, w := range f.Walls {
		rows = append(rows, []string{"wall_step_mm", w.Wall, "", "", n(w.MeanMM), n(model.Factor95 * w.UMM), n(w.ResidualMM), "", "", "", strconv.FormatBool(w.LeftOut)})
	}
	return written(rows)
}

// FileBase is a file's name for the part, without an ending.
func (s *Sheet) FileBase() string {
	name := strings.Map(func(r rune) rune {
		switch {
		case r == ' ' || r == '_':
			return '-'
		case strings.ContainsRune(`/\:*?"<>|`, r):
			return -1
		}
		return r
	}, s.Name)
	if name = strings.Trim(filepath.Base(name), ".-"); name == "" {
		return "part"
	}
	return strings.ToLower(name)
}
