package assets

import (
	"embed"
	"fmt"
	"path"
	"strings"

	"evenrim/model/practice"
)

//go:embed lessons/*.md
var lessonFiles embed.FS

// Lessons returns the lessons of the Apprentice page in their order, which is that
// of their file names. A test holds that all of them can be read, so there is no
// error to return.
func Lessons() []practice.Lesson {
	names, err := lessonFiles.ReadDir("lessons")
	if err != nil {
		panic(fmt.Sprintf("assets: lessons: %v", err))
	}
	out := make([]practice.Lesson, 0, len(names))
	for _, n := range names {
		text, err := lessonFiles.ReadFile(path.Join("lessons", n.Name()))
		if err != nil {
			panic(fmt.Sprintf("assets: lesson %s: %v", n.Name(), err))
		}
		// "02-half-the-difference.md": the number orders, the rest names.
		_, id, _ := strings.Cut(strings.TrimSuffix(n.Name(), ".md"), "-")
		l, err := practice.ParseLesson(id, string(text))
		if err != nil {
			panic(fmt.Sprintf("assets: lesson %s: %v", n.Name(), err))
		}
		out = append(out, l)
	}
	return out
}
