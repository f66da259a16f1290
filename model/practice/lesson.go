package practice

import (
	"fmt"
	"strings"
)

// Lesson is one short lesson. Its text ships with the program.
type Lesson struct {
	ID       string // stable: "half-the-difference"
	Title    string
	Index    string // a few words for the index
	Drawings []string
	Live     string // name of the live picture, "" = none
	Paras    []string
	Cautions []string // shop safety, where hands are near the part
	Ask      string   // a question to oneself
	Answer   string
}

// ParseLesson reads a lesson: a title line "# …", then lines "index:",
// "drawing:" and "live:", then paragraphs apart by empty lines. A paragraph that
// begins with "!" is a caution, with "?" the question, with "=" its answer.
func ParseLesson(id, text string) (Lesson, error) {
	l := Lesson{ID: id}
	for _, block := range strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n\n") {
		var words []string
		for _, line := range strings.Split(block, "\n") {
			line = strings.TrimSpace(line)
			name, rest, ok := strings.Cut(line, ":")
			rest = strings.TrimSpace(rest)
			switch {
			case line == "":
			case strings.HasPrefix(line, "# "):
				l.Title = strings.TrimSpace(line[2:])
			case ok && name == "index":
				l.Index = rest
			case ok && name == "drawing":
				l.Drawings = append(l.Drawings, rest)
			case ok && name == "live":
				l.Live = rest
			default:
				words = append(words, line)
			}
		}
		para := strings.Join(words, " ")
		switch {
		case para == "":
		case para[0] == '!':
			l.Cautions = append(l.Cautions, strings.TrimSpace(para[1:]))
		case para[0] == '?':
			l.Ask = strings.TrimSpace(para[1:])
		case para[0] == '=':
			l.Answer = strings.TrimSpace(para[1:])
		default:
			l.Paras = append(l.Paras, para)
		}
	}
	switch {
	case l.Title == "" || l.Index == "" || len(l.Paras) == 0:
		return Lesson{}, fmt.Errorf("practice: lesson %s lacks a title, an index line or text", id)
	case (l.Ask == "") != (l.Answer == ""):
		return Lesson{}, fmt.Errorf("practice: lesson %s has a question without an answer or the reverse", id)
	}
	if _, ok := LiveNamed(l.Live); l.Live != "" && !ok {
		return Lesson{}, fmt.Errorf("practice: lesson %s asks for a live picture %q that there isn't", id, l.Live)
	}
	return l, nil
}
