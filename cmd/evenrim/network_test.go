package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The program serves the bench with no network: none of its own packages can even
// open a connection.
func TestNothingOfOursKnowsTheNetwork(t *testing.T) {
	cmd := exec.Command("go", "list", "-buildvcs=false", "-tags", "migrated_fynedo", "-f", "{{.ImportPath}} {{join .Imports \" \"}}", "evenrim/...")
	cmd.Dir = "../.."
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	seen := 0
	for l := range strings.Lines(string(out)) {
		f := strings.Fields(l)
		seen++
		for _, imported := range f[1:] {
			if imported == "net" || strings.HasPrefix(imported, "net/") && imported != "net/url" {
				t.Errorf("%s imports %s", f[0], imported)
			}
		}
	}
	if seen < 10 {
		t.Fatalf("only %d packages listed", seen)
	}
}

// A reading is the same on a machine that has no network at all.
func TestReadsWithoutANetwork(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe, "read", "--bore", "8mm", "--chamfer", "0.3mm", "--json", "../../assets/photos/crosshead-bracket.jpg")
	cmd.Env = append(os.Environ(), asProgram+"=1", "HOME="+t.TempDir())
	cmd.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNET}
	if os.Geteuid() != 0 {
		cmd.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
	}
	out, err := cmd.CombinedOutput()
	if err != nil {
		if strings.Contains(err.Error(), "operation not permitted") {
			t.Skip("this machine does not let a test make a network of its own:", err)
		}
		t.Fatalf("%v\n%s", err, out)
	}
	if !strings.Contains(string(out), `"ok":true`) {
		t.Errorf("got %s, want a reading", out)
	}
}

// No verb opens a socket to anything but this machine, nor does the window: the
// libraries that the window is made of could, so the system is asked for every
// socket that is made.
func TestNoSocketOpens(t *testing.T) {
	if err := exec.Command("strace", "-qq", "-o", "/dev/null", "true").Run(); err != nil {
		t.Skipf("the system calls of a program cannot be watched here: %v", err)
	}
	shop := filepath.Join(t.TempDir(), "shop")
	keepThree(t, shop)
	dir := t.TempDir()
	list := filepath.Join(dir, "list.csv")
	photo, err := filepath.Abs(goodPhoto)
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, list, "photo,bore,chamfer,part,hole,hole_x,hole_y,batch\n"+photo+",8mm,0.3mm,p,a,0,0,b\n"+photo+",8mm,0.3mm,p,b,60,0,b\n")
	study := filepath.Join(dir, "study.csv")
	table := "part,person,dx_mm,dy_mm\n"
	for i := range 8 { // two parts, two persons, twice
		table += fmt.Sprintf("p%d,%s,%.3f,%.3f\n", i%2, []string{"Wren", "Ash"}[i/2%2], 0.01*float64(i%2)+0.001*float64(i%3), 0.002*float64(i%5))
	}
	writeFile(t, study, table)
	verbs := newRootCmd(&app{}).Commands()
	calls := map[string][]string{
		"read":       {"--list", list, "--json"},
		"part":       {"--list", list, "--json"},
		"batch":      {"--list", list, "--json"},
		"report":     {"--list", list, "--out", filepath.Join(dir, "r.pdf")},
		"records":    {"check", "--data", shop},
		"synth":      {"--out", filepath.Join(dir, "s.png")},
		"bench":      {"--count", "1"},
		"plan":       {"flip", "--json"},
		"apprentice": {"--count", "1", "--sheet", filepath.Join(dir, "a.pdf")},
		"study":      {"--list", study},
		"man":        {dir},
		"version":    {},
	}
	for _, v := range verbs {
		args, known := calls[v.Name()]
		switch {
		case v.Name() == "help" || v.Name() == "completion":
			continue // the library's own
		case !known:
			t.Errorf("the verb %s is not tried here: add a call", v.Name())
			continue
		}
		t.Run(v.Name(), func(t *testing.T) {
			trace := filepath.Join(t.TempDir(), "trace")
			cmd := program(t, append([]string{v.Name()}, args...)...)
			watchSockets(t, cmd, trace)
			out, err := cmd.CombinedOutput()
			if code := exitOf(t, err); code == exitUsage {
				t.Errorf("%q is wrong use, so it shows nothing: %s", cmd.Args, out)
			}
			onlyLocal(t, trace, cmd.Process.Pid)
		})
	}
	t.Run("the window", func(t *testing.T) {
		trace := filepath.Join(t.TempDir(), "trace")
		s := prepareOnScreen(t, filepath.Join(t.TempDir(), "shop"), 3*time.Minute, "--sample")
		watchSockets(t, s.cmd, trace)
		s.start()
		s.wait("rims over the photo", s.rims)
		for _, page := range []string{"Part", "Batches", "Apprentice", "Planner"} {
			s.turnTo(page)
		}
		s.cmd.Process.Signal(syscall.SIGTERM)
		select {
		case <-s.ended:
		case <-time.After(time.Minute):
			t.Fatal("the window does not end on a signal")
		}
		if local := onlyLocal(t, trace, s.cmd.Process.Pid); local == 0 {
			t.Error("not even the screen's own socket was seen: this shows nothing")
		}
	})
}

// watchSockets makes cmd run under a watch that writes each socket to trace. The
// watcher is no parent of the program, so signals and exit code are the program's.
func watchSockets(t *testing.T, cmd *exec.Cmd, trace string) {
	t.Helper()
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Fatal(err)
	}
	cmd.Args = append([]string{strace, "-D", "-f", "-q", "--seccomp-bpf", "-e", "trace=execve,socket", "-o", trace, cmd.Path}, cmd.Args[1:]...)
	cmd.Path = strace
}

// onlyLocal wants no socket but Unix ones in the trace of the program pid, which has
// ended, and returns how many those were.
func onlyLocal(t *testing.T, trace string, pid int) (local int) {
	t.Helper()
	ended := regexp.MustCompile(fmt.Sprintf(`(?m)^%d +\+\+\+ (exited|killed)`, pid))
	var text string
	for until := time.Now().Add(10 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		b, err := os.ReadFile(trace)
		if err != nil {
			t.Fatal(err)
		}
		if text = string(b); ended.MatchString(text) { // the watcher is done with it a moment later
			break
		}
		if time.Now().After(until) {
			t.Fatalf("the watch did not see the program's end:\n%s", text)
		}
	}
	if !strings.Contains(text, "execve(") {
		t.Fatalf("the watch did not see the program's start:\n%s", text)
	}
	for l := range strings.Lines(text) {
		switch {
		case !strings.Contains(l, "socket("):
		case strings.Contains(l, "socket(AF_UNIX"):
			local++
		default:
			t.Errorf("a socket was opened: %s", l)
		}
	}
	return local
}
