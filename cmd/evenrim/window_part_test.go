package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The Part page on a real screen, by keys alone: the sample part's photos are read,
// its arrows and steps lie on the drawing, and nothing is kept of a sample.
func TestPartOnAScreen(t *testing.T) {
	display := screen(t)
	data, home := filepath.Join(t.TempDir(), "shop"), t.TempDir()
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
	deadline := time.Now().Add(120 * time.Second)
	wait := func(what string, until func() bool) {
		t.Helper()
		for !until() {
			select {
			case err := <-ended:
				t.Fatalf("the program ended by itself: %v\n%s", err, words.String())
			case <-time.After(400 * time.Millisecond):
			}
			if time.Now().After(deadline) {
				t.Fatalf("%s: not after 120 s; stderr %q", what, words.String())
			}
		}
	}
	wait("a window", func() bool { return tool("search", "--name", "Evenrim") == nil })
	wait("the sample part", func() bool {
		tool("search", "--name", "Evenrim", "windowfocus")
		tool("key", "ctrl+shift+a")
		time.Sleep(time.Second)
		return tool("search", "--name", "Guide bar bracket") == nil
	})
	wait("arrows and steps on the drawing", func() bool {
		warm, _, _ := tints(t, display, shot)
		return warm > 400
	})
	if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-ended:
		if code := exitOf(t, err); code != 0 || besidesPreferences(words.String()) != "" {
			t.Errorf("exit code %d, stderr %q; want 0 and nothing", code, words.String())
		}
	case <-time.After(30 * time.Second):
		cmd.Process.Kill()
		t.Fatal("the window does not end on Ctrl-C")
	}
	if kept, err := os.ReadDir(filepath.Join(data, "photos")); err == nil && len(kept) > 0 {
		t.Errorf("%d photos of the sample were kept", len(kept))
	}
}
