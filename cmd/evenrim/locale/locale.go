// Package locale keeps the window's toolkit from logging errors, before main even
// begins, about locales such as C.UTF-8 that name no language. It is imported for
// that effect alone.
//
// Packages whose imports are ready are initialised in the order of their paths
// (language specification, "Program initialization"), and this one, which needs
// the standard library only, comes before fyne.io.
package locale

import (
	"os"
	"regexp"
)

func init() {
	if os.Getenv("LANGUAGE") == "" && !namesLanguage(current()) {
		os.Setenv("LANGUAGE", "en")
	}
}

func current() string {
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		if v := os.Getenv(name); v != "" {
			return v
		}
	}
	return ""
}

var language = regexp.MustCompile(`^[a-z]{2,3}([-_][A-Za-z]{2,4})?([.@].*)?$`)

// namesLanguage tells de_DE.UTF-8 from C.UTF-8 and from a slip.
func namesLanguage(locale string) bool { return language.MatchString(locale) }
