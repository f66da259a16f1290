package main

import (
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The Planner on a real screen, by keys: it answers from its defaults (the verdict's
// green and the bars), and turns from question to question.
func TestPlannerOnAScreen(t *testing.T) {
	display := screen(t)
	home := t.TempDir()
	cmd := program(t, "--data", filepath.Join(t.TempDir(), "shop"))
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
	at := 7 // the last tabs first
	wait("the page Planner", func() bool {
		if tool("search", "--name", "Planner") == nil {
			return true
		}
		tool("search", "--name", "Evenrim", "windowfocus")
		if at--; at < 2 {
			at = 6
		}
		tool("key", "alt+"+string(rune('0'+at)))
		time.Sleep(600 * time.Millisecond)
		return tool("search", "--name", "Planner") == nil
	})
	wait("the answer that the flip holds", func() bool { green, _ := answerTints(t, display, shot); return green > 300 })
	for _, q := range []struct {
		key, what string
		warm      int
	}{{"2", "the eye's curve", 3000}, {"4", "the new feature's cross", 20}, {"1", "the clouds of parts", 3000}} {
		tool("key", q.key)
		wait(q.what, func() bool { _, warm := answerTints(t, display, shot); return warm > q.warm })
	}
	if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-ended:
		if code := exitOf(t, err); code != 0 || besidesPreferences(words.String()) != "" {
			t.Errorf("exit code %d, stderr %q; want 0 and nothing", code, words.String())
		}
	case <-time.After(30 * time.Second):
		t.Error("the window does not end on Ctrl-C")
	}
}

// answerTints counts pixels where the answer stands: the green of a good
// answer, and setup 2's orange with its wash.
func answerTints(t *testing.T, display, path string) (green, warm int) {
	t.Helper()
	grab := exec.Command("import", "-window", "root", path)
	grab.Env = append(os.Environ(), "DISPLAY="+display)
	if out, err := grab.CombinedOutput(); err != nil {
		t.Fatalf("screenshot: %v %s", err, out)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	im, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := im.Bounds()
	for y := b.Dy() / 12; y < b.Dy()*9/10; y++ {
		for x := b.Dx() * 35 / 100; x < b.Dx()*9/10; x++ {
			r, g, bl, _ := im.At(x, y).RGBA()
			dr, dg := int(r>>8)-int(bl>>8), int(g>>8)-int(r>>8)
			switch {
			case dg > 30 && g>>8 > bl>>8:
				green++
			case dr > 14 && dg < -4:
				warm++
			}
		}
	}
	return green, warm
}
