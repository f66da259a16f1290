package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// installMissing runs the script with a stand-in for Debian's tools that has the
// packages present, and returns what apt-get was called with.
func installMissing(t *testing.T, present string, args ...string) (apt, words string, code int) {
	t.Helper()
	bin := t.TempDir()
	log := filepath.Join(bin, "apt.log")
	tool := func(name, script string) {
		if err := os.WriteFile(filepath.Join(bin, name), []byte("#!/bin/bash\n"+script+"\n"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	tool("dpkg-query", "for p in "+present+"; do echo installed $p; done; echo config-files g++")
	tool("apt-get", `echo "$DEBIAN_FRONTEND $*" >>`+log)
	tool("id", "echo 0")
	script, err := filepath.Abs("../../scripts/install-missing")
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(script, args...)
	cmd.Env = append(os.Environ(), "PATH="+bin+":"+os.Getenv("PATH"))
	var w bytes.Buffer
	cmd.Stdout, cmd.Stderr = &w, &w
	code = exitOf(t, cmd.Run())
	b, _ := os.ReadFile(log)
	return string(b), w.String(), code
}

func TestInstallScriptInstallsOnlyWhatIsMissing(t *testing.T) {
	const toBuild = "ca-certificates g++ pkg-config libopencv-dev libjpeg-dev libgl1-mesa-dev libx11-dev libxcursor-dev libxrandr-dev libxinerama-dev libxi-dev libxxf86vm-dev"
	apt, words, code := installMissing(t, toBuild)
	if apt != "" || words != "" || code != 0 {
		t.Errorf("with all there: apt %q, said %q, exit code %d; want nothing at all", apt, words, code)
	}
	// A package whose configuration alone is left is missing.
	apt, words, code = installMissing(t, strings.ReplaceAll(toBuild, "g++ ", ""))
	calls := strings.Split(strings.TrimSpace(apt), "\n")
	if code != 0 || len(calls) != 2 || !strings.Contains(calls[0], "update") ||
		!strings.HasPrefix(calls[1], "noninteractive ") || !strings.HasSuffix(calls[1], "install -y --no-install-recommends g++") {
		t.Errorf("without g++: apt %q, exit code %d", calls, code)
	}
	if !strings.Contains(words, "g++") || !strings.Contains(words, "compiler") || strings.Contains(words, "libx11") {
		t.Errorf("without g++ it says %q; want which package and why", words)
	}
	apt, _, _ = installMissing(t, toBuild, "test")
	if !strings.Contains(apt, "xvfb xauth libgl1-mesa-dri imagemagick xdotool strace") {
		t.Errorf("for the tests: apt %q", apt)
	}
}
