package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The Debian package of the last commit is the same, byte for byte, from two clones
// in two places that share nothing compiled, and works in a Debian that has nothing
// but what the package asks for: no compiler, no headers, no Go.
//
// It runs with EVENRIM_LONG=1, as root, with debootstrap and a Debian mirror; some
// ten minutes.
func TestPackageInACleanDebian(t *testing.T) {
	if os.Getenv("EVENRIM_LONG") != "1" {
		t.Skip("takes a quarter of an hour and downloads a Debian: set EVENRIM_LONG=1")
	}
	if os.Geteuid() != 0 {
		t.Skip("needs root to make a Debian of its own")
	}
	for _, tool := range []string{"debootstrap", "git", "dpkg-deb", "apt-get"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("no %s here: install it to try the package", tool)
		}
	}
	deb := packageTwice(t)
	root := cleanDebian(t)
	run := func(name string, args ...string) []byte {
		t.Helper()
		out, err := inside(t.Context(), root, name, args...).CombinedOutput()
		if err != nil {
			t.Fatalf("%s %q in the clean Debian: %v\n%s", name, args, err, tail(out))
		}
		return out
	}
	copyFile(t, deb, filepath.Join(root, "tmp/evenrim.deb"))
	run("apt-get", "-qq", "update")
	run("apt-get", "-qq", "install", "-y", "--no-install-recommends", "/tmp/evenrim.deb")
	for l := range strings.Lines(string(run("dpkg-query", "-W", "-f", "${Package}\n"))) {
		if p := strings.TrimSpace(l); strings.HasSuffix(p, "-dev") || p == "g++" || strings.HasPrefix(p, "golang") {
			t.Errorf("%s is in the clean Debian: it shows nothing about a machine without it", p)
		}
	}

	// The same reading as here, where everything is.
	const photo = "../../assets/photos/crosshead-bracket.jpg"
	copyFile(t, photo, filepath.Join(root, "tmp/photo.jpg"))
	flags := []string{"read", "--bore", "8mm", "--chamfer", "0.3mm", "--json"}
	var there, here jsonLine
	out, err := inside(t.Context(), root, "evenrim", append(flags, "/tmp/photo.jpg")...).Output()
	if err != nil || json.Unmarshal(out, &there) != nil {
		t.Fatalf("reading a photo in the clean Debian: %v, %s", err, out)
	}
	_, words, _ := call(t, append(flags, photo)...)
	if err := json.Unmarshal([]byte(words), &here); err != nil {
		t.Fatal(err)
	}
	if !there.OK || !here.OK || math.Abs(*there.DX-*here.DX) > 1e-6 || math.Abs(*there.DY-*here.DY) > 1e-6 {
		t.Errorf("the clean Debian reads %s, here it is %s", out, words)
	}

	windowInside(t, root)
}

// packageTwice makes the package in two clones, of which the second finds nothing
// compiled before, and returns it.
func packageTwice(t *testing.T) string {
	t.Helper()
	places := t.TempDir()
	var debs [][]byte
	var path string
	from := "../.."
	for i, place := range []string{"one", "another/place further down"} {
		clone := filepath.Join(places, place)
		if out, err := exec.Command("git", "clone", "-q", from, clone).CombinedOutput(); err != nil {
			t.Fatalf("clone: %v\n%s", err, out)
		}
		from = clone // work goes on in the meantime: the second is of the same commit
		make := exec.CommandContext(t.Context(), "scripts/make-package")
		make.Dir = clone
		make.Env = os.Environ()
		if i > 0 {
			make.Env = append(make.Env, "GOCACHE="+filepath.Join(places, "cache"))
		}
		if out, err := make.CombinedOutput(); err != nil {
			t.Fatalf("make-package in %q: %v\n%s", place, err, tail(out))
		}
		found, _ := filepath.Glob(filepath.Join(clone, "dist", "*.deb"))
		if len(found) != 1 {
			t.Fatalf("in %q: %q, want one package", place, found)
		}
		path = found[0]
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		debs = append(debs, b)
	}
	if !bytes.Equal(debs[0], debs[1]) {
		t.Errorf("the packages of the two clones differ (%d and %d bytes)", len(debs[0]), len(debs[1]))
	}
	return path
}

// cleanDebian makes a least Debian 12 in a folder.
func cleanDebian(t *testing.T) string {
	t.Helper()
	root := filepath.Join(t.TempDir(), "root")
	if out, err := exec.CommandContext(t.Context(), "debootstrap", "--variant=minbase", "bookworm", root, debianMirror()).CombinedOutput(); err != nil {
		t.Skipf("no Debian could be made here: %v\n%s", err, tail(out))
	}
	proc := filepath.Join(root, "proc")
	if err := syscall.Mount("proc", proc, "proc", 0, ""); err != nil {
		t.Skipf("cannot mount /proc for a Debian of its own: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(proc, syscall.MNT_DETACH); err != nil {
			t.Errorf("unmount: %v", err)
		}
	})
	return root
}

// debianMirror is where this machine has its Debian from.
func debianMirror() string {
	out, _ := exec.Command("apt-get", "indextargets", "--format", "$(REPO_URI) $(CODENAME) $(ORIGIN)", "Created-By: Packages").Output()
	for l := range strings.Lines(string(out)) {
		if f := strings.Fields(l); len(f) == 3 && f[1] == "bookworm" && f[2] == "Debian" {
			return f[0]
		}
	}
	return "http://deb.debian.org/debian"
}

// inside is a program that sees nothing but the Debian in root.
func inside(ctx context.Context, root, name string, args ...string) *exec.Cmd {
	const path = "/usr/sbin:/usr/bin:/sbin:/bin"
	cmd := exec.CommandContext(ctx, "/usr/bin/env", append([]string{name}, args...)...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Chroot: root}
	cmd.Dir = "/"
	cmd.Env = []string{"HOME=/root", "PATH=" + path, "DEBIAN_FRONTEND=noninteractive", "LC_ALL=C.UTF-8"}
	return cmd
}

// windowInside opens the installed program's window on this machine's screen in
// memory, with the libraries of the Debian in root, until it has kept a reading.
func windowInside(t *testing.T, root string) {
	t.Helper()
	s := &onScreen{t: t, data: filepath.Join(root, "root/.local/share/evenrim"), ended: make(chan error, 1),
		shot: filepath.Join(t.TempDir(), "window.png"), until: time.Now().Add(2 * time.Minute)}
	s.display, s.x = screen(t)
	s.cmd = inside(t.Context(), root, "evenrim", "--bore", "8mm", "--chamfer", "0.3mm", "/tmp/photo.jpg") // a sample is not kept
	s.cmd.Env = append(s.cmd.Env, "DISPLAY="+s.display, "LIBGL_ALWAYS_SOFTWARE=1")
	s.cmd.Stderr = &s.words
	s.start()
	s.wait("rims over the photo", s.rims)
	s.wait("a kept reading", func() bool {
		kept, _ := filepath.Glob(filepath.Join(s.data, "photos", "*"))
		return len(kept) > 0
	})
	// The pointers, screens and their scale that the toolkit loads by name.
	maps, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(s.cmd.Process.Pid), "maps"))
	if err != nil {
		t.Fatal(err)
	}
	for _, lib := range []string{"libXcursor.so", "libXi.so", "libXinerama.so", "libXrandr.so"} {
		if !bytes.Contains(maps, []byte(lib)) {
			t.Errorf("the window runs without %s", lib)
		}
	}
	s.end()
}

// tail is the end of a long output, where the reason stands.
func tail(out []byte) []byte { return out[max(0, len(out)-2000):] }
