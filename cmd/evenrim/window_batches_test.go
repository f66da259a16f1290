package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"evenrim/model/record"
)

// The Batches page on a real screen, by keys alone: the demo shop's batches come up
// and their clouds lie on the target map; the user's own record stays empty.
func TestBatchesOnAScreen(t *testing.T) {
	display := screen(t)
	data, home := filepath.Join(t.TempDir(), "shop"), t.TempDir()
	keepBatches(t, data+"-demo") // as if the demo had been made before
	cmd := program(t, "--data", data)
	cmd.Env = append(cmd.Env, "DISPLAY="+display, "LIBGL_ALWAYS_SOFTWARE=1", "HOME="+home, "XDG_CONFIG_HOME="+home)
	var words strings.Builder
	cmd.Stderr = &words
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill() })
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	shot := filepath.Join(t.TempDir(), "window.png")
	tool := func(args ...string) error {
		c := exec.Command("xdotool", args...)
		c.Env = append(os.Environ(), "DISPLAY="+display)
		return c.Run()
	}
	deadline := time.Now().Add(90 * time.Second)
	wait := func(what string, until func() bool) {
		t.Helper()
		for !until() {
			select {
			case err := <-ended:
				t.Fatalf("the program ended by itself: %v\n%s", err, words.String())
			case <-time.After(400 * time.Millisecond):
			}
			if time.Now().After(deadline) {
				t.Fatalf("%s: not after 90 s; stderr %q", what, words.String())
			}
		}
	}
	wait("a window", func() bool { return tool("search", "--name", "Evenrim") == nil })
	wait("the demo shop", func() bool {
		tool("search", "--name", "Evenrim", "windowfocus")
		tool("key", "ctrl+shift+e")
		time.Sleep(700 * time.Millisecond)
		return tool("search", "--name", "Demo shop") == nil
	})
	if warm, _, _ := tints(t, display, shot); warm > 150 {
		t.Errorf("%d pixels of setup 2's colour before the map is shown", warm)
	}
	wait("a cloud on the map", func() bool {
		tool("key", "3")
		time.Sleep(500 * time.Millisecond)
		warm, _, _ := tints(t, display, shot)
		return warm > 250
	})
	if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-ended:
		if code, said := exitOf(t, err), besidesPreferences(words.String()); code != 0 || said != "" {
			t.Errorf("exit code %d, stderr %q; want 0 and nothing", code, said)
		}
	case <-time.After(30 * time.Second):
		cmd.Process.Kill()
		t.Fatal("the window does not end on Ctrl-C")
	}
	s, err := record.Open(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if n, err := s.Count(t.Context(), record.Query{}); n != 0 || err != nil {
		t.Errorf("%d readings in the user's own record, %v", n, err)
	}
}

// besidesPreferences leaves out what the toolkit says when its watcher of the
// preferences reads them while they are being written, which it does in place: an
// empty file for a moment, harmless, read again at once.
func besidesPreferences(words string) string {
	lines := strings.SplitAfter(words, "\n")
	var out []string
	for i := 0; i < len(lines); i++ {
		if strings.Contains(lines[i], "Preferences load error") && i+2 < len(lines) && strings.Contains(lines[i+1], "EOF") {
			i += 2 // its cause and its place
			continue
		}
		out = append(out, lines[i])
	}
	return strings.Join(out, "")
}
