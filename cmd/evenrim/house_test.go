package main

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"
)

// The arrows of the house: cmd -> {ui, vision, model}, ui -> model, vision ->
// model, and what each may know of the world outside. assets hangs below model's
// users and knows the model alone.
func TestNobodyImportsUpwards(t *testing.T) {
	const gocv, fyne, gl, sqlite = "gocv.io/x/gocv", "fyne.io/fyne/v2", "github.com/go-gl/", "modernc.org/sqlite"
	const fyneApp = "fyne.io/fyne/v2/app"
	for _, tt := range []struct {
		packages  string
		forbidden []string
	}{
		{"evenrim/model/...", []string{"evenrim/ui", "evenrim/vision", "evenrim/cmd", "evenrim/assets", gocv, fyne, gl}},
		{"evenrim/vision/...", []string{"evenrim/ui", "evenrim/cmd", "evenrim/assets", fyne, gl, sqlite}},
		// ui builds and tests with neither OpenCV nor GL; only cmd has the toolkit's
		// app package, which brings GL.
		{"evenrim/ui/...", []string{"evenrim/vision", "evenrim/cmd", gocv, fyneApp, gl}},
		{"evenrim/assets/...", []string{"evenrim/ui", "evenrim/vision", "evenrim/cmd", gocv, fyne}},
	} {
		t.Run(tt.packages, func(t *testing.T) {
			for pkg, deps := range depsOf(t, tt.packages) {
				for _, d := range deps {
					for _, f := range tt.forbidden {
						if d == f || strings.HasPrefix(d, strings.TrimSuffix(f, "/")+"/") {
							t.Errorf("%s depends on %s", pkg, d)
						}
					}
				}
			}
		})
	}
}

// depsOf lists what each of the packages is built from, directly or not.
func depsOf(t *testing.T, pattern string) map[string][]string {
	t.Helper()
	var words bytes.Buffer
	cmd := exec.Command("go", "list", "-buildvcs=false", "-tags", "migrated_fynedo", "-f", "{{.ImportPath}} {{join .Deps \" \"}}", pattern)
	cmd.Dir, cmd.Stderr = "../..", &words
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list %s: %v\n%s", pattern, err, words.String())
	}
	deps := map[string][]string{}
	for l := range strings.Lines(string(out)) {
		f := strings.Fields(l)
		deps[f[0]] = f[1:]
	}
	if len(deps) == 0 {
		t.Fatalf("go list %s: no packages", pattern)
	}
	return deps
}
