package main

import (
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
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
