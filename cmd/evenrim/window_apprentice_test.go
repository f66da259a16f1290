package main

import (
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Practice on a real screen, by keys: a photo comes up without a rim on it, is
// judged, and only then its rims lie over it in their colours.
func TestApprenticeOnAScreen(t *testing.T) {
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
	// The page is found by its name in the title, wherever its tab is.
	at := 1
	wait("the page Apprentice", func() bool {
		if tool("search", "--name", "Apprentice") == nil {
			return true
		}
		tool("search", "--name", "Evenrim", "windowfocus")
		if at++; at > 6 {
			at = 2
		}
		tool("key", "alt+"+string(rune('0'+at)))
		time.Sleep(600 * time.Millisecond)
		return tool("search", "--name", "Apprentice") == nil
	})
	tool("key", "2")
	wait("a photo to judge", func() bool { _, _, grey := tints(t, display, shot); return grey > 20000 })
	if warm, cool, _ := tints(t, display, shot); warm > 200 || cool > 200 {
		t.Errorf("%d warm and %d cool pixels lie over the photo before it is judged", warm, cool)
	}
	for _, k := range []string{"Right", "plus", "plus", "plus", "n", "b", "Return"} {
		tool("key", k)
		time.Sleep(150 * time.Millisecond)
	}
	wait("rims over the photo", func() bool { return colours(t, display, shot) })
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

// tints counts, in the middle of the screen, pixels of the two pencils and pixels
// of metal: grey, neither paper nor bore.
func tints(t *testing.T, display, path string) (warm, cool, grey int) {
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
	middle := image.Rect(b.Dx()*3/10, b.Dy()*2/10, b.Dx()*6/10, b.Dy()*6/10)
	for y := middle.Min.Y; y < middle.Max.Y; y++ {
		for x := middle.Min.X; x < middle.Max.X; x++ {
			r, _, bl, _ := im.At(x, y).RGBA()
			switch d := int(r>>8) - int(bl>>8); {
			case d > 60:
				warm++
			case d < -60:
				cool++
			case r>>8 > 60 && r>>8 < 200 && d > -10 && d < 10:
				grey++
			}
		}
	}
	return warm, cool, grey
}
