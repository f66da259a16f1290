package locale

import "testing"

func TestOnlyALocaleThatNamesALanguageCounts(t *testing.T) {
	for in, want := range map[string]bool{"en_GB.UTF-8": true, "de": true, "sr_RS@latin": true, "pt-BR": true,
		"C": false, "C.UTF-8": false, "POSIX": false, "": false, "english": false, "de_": false} {
		if got := namesLanguage(in); got != want {
			t.Errorf("namesLanguage(%q) = %t, want %t", in, got, want)
		}
	}
}
