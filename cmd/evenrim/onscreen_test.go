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

// onScreen is the program with its window on a screen in memory.
type onScreen struct {
	t       testing.TB
	display string
	x       *exec.Cmd // the screen
	data    string    // its data folder
	home    string    // its home
	cmd     *exec.Cmd
	words   strings.Builder // what it said on stderr
	ended   chan error
	shot    string // where screenshots go
	until   time.Time
}

// openOnScreen starts the program on a screen of its own; args follow --data.
func openOnScreen(t testing.TB, data string, patience time.Duration, args ...string) *onScreen {
	t.Helper()
	s := prepareOnScreen(t, data, patience, args...)
	s.start()
	return s
}

// prepareOnScreen is openOnScreen short of starting the program.
func prepareOnScreen(t testing.TB, data string, patience time.Duration, args ...string) *onScreen {
	t.Helper()
	s := &onScreen{t: t, data: data, ended: make(chan error, 1),
		shot: filepath.Join(t.TempDir(), "window.png"), until: time.Now().Add(patience)}
	s.display, s.x = screen(t)
	s.cmd = program(t, append([]string{"--data", data}, args...)...)
	// A home of its own: a window killed elsewhere may have left half a file of
	// preferences in the real one, which the toolkit complains about.
	s.home = t.TempDir()
	s.cmd.Env = append(s.cmd.Env, "DISPLAY="+s.display, "LIBGL_ALWAYS_SOFTWARE=1", "HOME="+s.home, "XDG_CONFIG_HOME="+s.home)
	s.cmd.Stderr = &s.words
	return s
}

func (s *onScreen) start() {
	s.t.Helper()
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { s.cmd.Process.Kill() })
	go func() { s.ended <- s.cmd.Wait() }()
}

// tool runs xdotool on the screen.
func (s *onScreen) tool(args ...string) error {
	c := exec.Command("xdotool", args...)
	c.Env = append(os.Environ(), "DISPLAY="+s.display)
	return c.Run()
}

// titled says whether a window with the words in its title is there.
func (s *onScreen) titled(words string) bool { return s.tool("search", "--name", words) == nil }

// focus gives the window the keys.
func (s *onScreen) focus() { s.tool("search", "--name", "Evenrim", "windowfocus") }

func (s *onScreen) key(keys ...string) {
	for _, k := range keys {
		s.tool("key", k)
		time.Sleep(150 * time.Millisecond)
	}
}

// wait fails when it has not come to what within the patience.
func (s *onScreen) wait(what string, until func() bool) {
	s.t.Helper()
	for !until() {
		select {
		case err := <-s.ended:
			s.t.Fatalf("the program ended by itself: %v\n%s", err, s.words.String())
		case <-time.After(400 * time.Millisecond):
		}
		if time.Now().After(s.until) {
			s.t.Fatalf("%s: not in time; stderr and where the program stood:\n%s", what, s.lastWords())
		}
	}
}

// lastWords ends the program by the signal that has it tell where each of its
// goroutines stood, and returns all that it said.
func (s *onScreen) lastWords() string {
	s.cmd.Process.Signal(syscall.SIGQUIT)
	select {
	case <-s.ended:
		return s.words.String()
	case <-time.After(5 * time.Second):
		return "(it doesn't even answer a signal)"
	}
}

// turnTo brings the page of that name, as the title has it, into view, wherever
// its tab is.
func (s *onScreen) turnTo(page string) {
	s.t.Helper()
	s.wait("a window", func() bool { return s.titled("Evenrim") })
	at := 1
	s.wait("the page "+page, func() bool {
		if s.titled(page) {
			return true
		}
		s.focus()
		if at++; at > 6 {
			at = 2
		}
		s.tool("key", "alt+"+string(rune('0'+at)))
		time.Sleep(600 * time.Millisecond)
		return s.titled(page)
	})
}

// picture is the screen as it is.
func (s *onScreen) picture() image.Image {
	s.t.Helper()
	grab := exec.Command("import", "-window", "root", s.shot)
	grab.Env = append(os.Environ(), "DISPLAY="+s.display)
	if out, err := grab.CombinedOutput(); err != nil {
		s.t.Fatalf("screenshot: %v %s", err, out)
	}
	f, err := os.Open(s.shot)
	if err != nil {
		s.t.Fatal(err)
	}
	defer f.Close()
	im, err := png.Decode(f)
	if err != nil {
		s.t.Fatal(err)
	}
	return im
}

// tints counts, in the middle of the screen, where the photo lies, away from
// buttons and figures: pixels of the two pencils, of anything that is no bore, and
// of metal: grey, neither paper nor bore.
func (s *onScreen) tints() (warm, cool, light, grey int) {
	s.t.Helper()
	im := s.picture()
	b := im.Bounds()
	for y := b.Dy() * 2 / 10; y < b.Dy()*6/10; y++ {
		for x := b.Dx() * 3 / 10; x < b.Dx()*6/10; x++ {
			r, _, bl, _ := im.At(x, y).RGBA()
			switch d := int(r>>8) - int(bl>>8); {
			case d > 60:
				warm++
			case d < -60:
				cool++
			case r>>8 > 60:
				light++
				if r>>8 < 200 && d > -10 && d < 10 {
					grey++
				}
			}
		}
	}
	return warm, cool, light, grey
}

// rims says whether a grey photo with lines in two colours is to be seen.
func (s *onScreen) rims() bool {
	warm, cool, light, _ := s.tints()
	return warm > 200 && cool > 200 && light > 20000
}

// end ends the program by Ctrl-C, which must succeed without a word.
func (s *onScreen) end() {
	s.t.Helper()
	if err := s.cmd.Process.Signal(syscall.SIGINT); err != nil {
		s.t.Fatal(err)
	}
	select {
	case err := <-s.ended:
		if code, said := exitOf(s.t, err), besidesPreferences(s.words.String()); code != 0 || said != "" {
			s.t.Errorf("exit code %d, stderr %q; want 0 and nothing", code, said)
		}
	case <-time.After(30 * time.Second):
		s.cmd.Process.Kill()
		s.t.Fatal("the window does not end on Ctrl-C")
	}
}

// screen starts a screen in memory and returns its name and its process.
func screen(t testing.TB) (display string, x *exec.Cmd) {
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
	// -noreset: when its last client goes, be it xdotool's look for a window, the screen
	// would begin anew and turn away whoever knocks meanwhile.
	x = exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", "1600x1000x24", "-nolisten", "tcp", "-noreset")
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
	return ":" + strings.TrimSpace(number), x
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
