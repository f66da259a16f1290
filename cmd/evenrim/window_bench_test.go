package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model/record"
)

// A machinist's way through the Bench page in the real window, with the keyboard
// and mouse alone: from a photo and a typed bore to a verdict, help for the
// finder, undo, +X dragged. What is kept in the record tells what the window did.
func TestBenchByHandOnAScreen(t *testing.T) {
	hand := &hand{openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second, filepath.Join("..", "..", "testdata", "photos", "lever-bracket.jpg"))}
	hand.waitForWindow()

	// Action 1: the photo was opened by its name. Action 2: the bore is typed; the
	// cursor waits in its field. Action 3: read the answer.
	time.Sleep(2 * time.Second)
	hand.do("type", "--delay", "60", "0.25in")
	first := hand.kept("the first reading", func(e record.Entry) bool { return true })
	if got := first.BoreMM; got != 6.35 {
		t.Fatalf("kept with a bore of %g mm, want 6.35 (typed as 0.25in)", got)
	}
	if first.Verdict == "" || !(first.U95MM > 0) {
		t.Errorf("no verdict or no uncertainty: %+v", first)
	}

	// A hole drawn by hand: the circle is pressed in the middle of the photo's hole.
	hand.do("key", "ctrl+shift+d")
	time.Sleep(time.Second)
	hand.drag(690, 413, 852, 413)
	helped := hand.kept("the reading that a person helped", func(e record.Entry) bool {
		return e.Replaces != 0 && strings.Contains(e.Why, "a person helped")
	})
	// Undone, it is the finder's again.
	hand.do("key", "ctrl+z")
	alone := hand.kept("the reading without help", func(e record.Entry) bool {
		return e.Replaces == helped.ID && !strings.Contains(e.Why, "a person helped")
	})
	// The +X arrow is taken by its head and dragged upwards, a quarter turn.
	hand.drag(792, 413, 690, 300)
	turned := hand.kept("the reading with +X turned", func(e record.Entry) bool { return e.Replaces == alone.ID })
	if !strings.Contains(turned.Why, "+X 0.00° to 9") && !strings.Contains(turned.Why, "+X 0.00° to 8") {
		t.Errorf("kept because of %q, want +X turned from 0 to about 90 degrees", turned.Why)
	}
	hand.end()
}

// hand is a person at the screen.
type hand struct{ *onScreen }

func (h *hand) do(args ...string) {
	h.t.Helper()
	c := exec.Command("xdotool", args...)
	c.Env = append(os.Environ(), "DISPLAY="+h.display)
	if out, err := c.CombinedOutput(); err != nil {
		h.t.Fatalf("xdotool %v: %v %s", args, err, out)
	}
}

func (h *hand) drag(x0, y0, x1, y1 int) {
	h.do("mousemove", fmt.Sprint(x0), fmt.Sprint(y0))
	h.do("mousedown", "1")
	for i := 1; i <= 12; i++ {
		h.do("mousemove", fmt.Sprint(x0+(x1-x0)*i/12), fmt.Sprint(y0+(y1-y0)*i/12))
		time.Sleep(30 * time.Millisecond)
	}
	h.do("mouseup", "1")
}

// waitForWindow waits for the window and puts it into the corner.
func (h *hand) waitForWindow() {
	h.t.Helper()
	var id string
	h.wait("a window", func() bool {
		c := exec.Command("xdotool", "search", "--onlyvisible", "--name", "Evenrim")
		c.Env = append(os.Environ(), "DISPLAY="+h.display)
		out, err := c.Output()
		if err != nil || len(out) == 0 {
			return false
		}
		id = strings.Fields(string(out))[0]
		return true
	})
	h.do("windowmove", id, "0", "0")
	h.do("windowsize", id, "1440", "900")
	h.do("windowfocus", id)
	time.Sleep(time.Second)
}

// kept waits for a reading in the record that fits.
func (h *hand) kept(what string, fits func(record.Entry) bool) record.Entry {
	h.t.Helper()
	deadline := time.Now().Add(60 * time.Second)
	var last []record.Entry
	for time.Now().Before(deadline) {
		if s, err := record.Open(h.t.Context(), h.data); err == nil {
			last, err = s.Find(h.t.Context(), record.Query{WithReplaced: true})
			s.Close()
			if err == nil {
				for _, e := range last {
					if fits(e) {
						return e
					}
				}
			}
		}
		time.Sleep(300 * time.Millisecond)
	}
	h.t.Fatalf("%s isn't in the record after a minute; there are %d readings; the program stood:\n%s", what, len(last), h.lastWords())
	return record.Entry{}
}

// BenchmarkStartToFirstFrame is from starting the program to its window being
// there with a picture in it, on a screen in memory drawn in software.
func BenchmarkStartToFirstFrame(b *testing.B) {
	display, _ := screen(b)
	for b.Loop() {
		home := b.TempDir()
		cmd := program(b, "--data", filepath.Join(home, "shop"))
		cmd.Env = append(cmd.Env, "DISPLAY="+display, "LIBGL_ALWAYS_SOFTWARE=1", "HOME="+home, "XDG_CONFIG_HOME="+home)
		if err := cmd.Start(); err != nil {
			b.Fatal(err)
		}
		for {
			c := exec.Command("xdotool", "search", "--onlyvisible", "--name", "Evenrim")
			c.Env = append(os.Environ(), "DISPLAY="+display)
			if out, err := c.Output(); err == nil && len(out) > 0 {
				break
			}
			time.Sleep(5 * time.Millisecond)
		}
		b.StopTimer()
		cmd.Process.Kill()
		cmd.Wait()
		time.Sleep(300 * time.Millisecond)
		b.StartTimer()
	}
}
