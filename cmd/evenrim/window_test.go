package main

import (
	"bufio"
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

// screen starts a screen in memory and returns its name.
func screen(t testing.TB) string {
	t.Helper()
	for _, tool := range []string{"Xvfb", "import", "xdotool"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("no %s here: make test installs it", tool)
		}
	}
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	x := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", "1600x1000x24", "-nolisten", "tcp")
	x.ExtraFiles = []*os.File{w}
	if err := x.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { x.Process.Kill(); x.Wait() })
	w.Close()
	number, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatalf("Xvfb names no display: %v", err)
	}
	return ":" + strings.TrimSpace(number)
}

// The real window on a real (if virtual) screen: it comes up, shows a photo with
// coloured rims, says nothing on stderr, keeps the reading, and ends on Ctrl-C.
func TestWindowOnAScreen(t *testing.T) {
	display := screen(t)
	data := filepath.Join(t.TempDir(), "shop")
	cmd := program(t, "--sample", "--data", data)
	// A home of its own: a window killed elsewhere may have left half a file of
	// preferences in the real one, which the toolkit complains about.
	home := t.TempDir()
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
	deadline := time.Now().Add(90 * time.Second)
	for {
		select {
		case err := <-ended:
			t.Fatalf("the program ended by itself: %v\n%s", err, words.String())
		case <-time.After(500 * time.Millisecond):
		}
		kept, _ := exec.Command("ls", filepath.Join(data, "photos")).Output()
		if colours(t, display, shot) && len(kept) > 0 {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("no rims on the screen, or no reading kept (%q), after 90 s; stderr %q", kept, words.String())
		}
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
		cmd.Process.Kill()
		t.Error("the window does not end on Ctrl-C")
	}
}

// colours tells whether the screen shows a grey photo with lines in two colours
// over it.
func colours(t *testing.T, display, path string) bool {
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
	// The middle, where the photo lies, away from buttons and figures.
	b := im.Bounds()
	middle := image.Rect(b.Dx()*3/10, b.Dy()*2/10, b.Dx()*6/10, b.Dy()*6/10)
	warm, cool, grey := 0, 0, 0
	for y := middle.Min.Y; y < middle.Max.Y; y++ {
		for x := middle.Min.X; x < middle.Max.X; x++ {
			r, _, bl, _ := im.At(x, y).RGBA()
			switch d := int(r>>8) - int(bl>>8); {
			case d > 60:
				warm++
			case d < -60:
				cool++
			case r>>8 > 60:
				grey++
			}
		}
	}
	return warm > 200 && cool > 200 && grey > 20000
}
