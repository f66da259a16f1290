package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The test binary is the program itself when this variable is set: the tests then
// run the real thing, with its own stdout, signals and exit code, built once.
const asProgram = "EVENRIM_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		os.Exit(run())
	}
	os.Exit(m.Run())
}

// program is a call of evenrim without a display, in a home of its own.
func program(t testing.TB, args ...string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	home := t.TempDir()
	cmd := exec.Command(exe, args...)
	for _, v := range os.Environ() {
		name, _, _ := strings.Cut(v, "=")
		if name != "DISPLAY" && name != "WAYLAND_DISPLAY" && name != "HOME" && !strings.HasPrefix(name, "XDG_") {
			cmd.Env = append(cmd.Env, v)
		}
	}
	cmd.Env = append(cmd.Env, asProgram+"=1", "HOME="+home, "XDG_DATA_HOME="+home)
	return cmd
}

// call runs evenrim to its end.
func call(t *testing.T, args ...string) (code int, out, words string) {
	t.Helper()
	cmd := program(t, args...)
	var o, w bytes.Buffer
	cmd.Stdout, cmd.Stderr = &o, &w
	code = exitOf(t, cmd.Run())
	for _, s := range []string{o.String(), w.String()} {
		if strings.Contains(s, "panic") || strings.Contains(s, "goroutine ") || strings.Contains(s, "runtime error") {
			t.Errorf("evenrim %q shows its insides:\n%s", args, s)
		}
	}
	return code, o.String(), w.String()
}

func exitOf(t testing.TB, err error) int {
	t.Helper()
	var exit *exec.ExitError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &exit):
		return exit.ExitCode()
	}
	t.Fatal(err)
	return -1
}

type jsonLine struct {
	Photo   string      `json:"photo"`
	OK      bool        `json:"ok"`
	DX      *float64    `json:"dx_mm"`
	DY      *float64    `json:"dy_mm"`
	U95     *float64    `json:"u95_mm"`
	Reason  string      `json:"reason"`
	Error   string      `json:"error"`
	Warning []string    `json:"warnings"`
	Rims    any         `json:"rims"`
	Cov     [][]float64 `json:"cov_mm2"`
}

func jsonLines(t *testing.T, out string) (lines []jsonLine) {
	t.Helper()
	if out != "" && !strings.HasSuffix(out, "\n") {
		t.Errorf("the output ends within a line: %q", out)
	}
	for l := range strings.Lines(out) {
		var j jsonLine
		if err := json.Unmarshal([]byte(l), &j); err != nil {
			t.Fatalf("%v in line %q", err, l)
		}
		lines = append(lines, j)
	}
	return lines
}

func writeFile(t *testing.T, path, text string) string {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}
