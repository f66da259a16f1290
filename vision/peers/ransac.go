package peers

import (
	"bufio"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"os/exec"
	"sync"

	"evenrim/model"
)

//go:embed ransac.py
var script string

// Script is scikit-image at work in a Python process of its own. It is safe for
// concurrent use; photos are read one at a time.
type Script struct {
	mu   sync.Mutex
	cmd  *exec.Cmd
	in   io.WriteCloser
	out  *bufio.Scanner
	stop context.CancelFunc
}

// StartScript starts it. The error says in a word what is missing.
func StartScript(ctx context.Context) (*Script, error) {
	python, err := pythonWith(ctx, "skimage")
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(ctx)
	cmd := exec.CommandContext(ctx, python, "-c", script)
	in, err := cmd.StdinPipe()
	if err != nil {
		stop()
		return nil, err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		stop()
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		stop()
		return nil, err
	}
	return &Script{cmd: cmd, in: in, out: bufio.NewScanner(out), stop: stop}, nil
}

// pythonWith returns a Python that has a package: the one the path names, else the
// system's own, which a second one may hide.
func pythonWith(ctx context.Context, name string) (string, error) {
	found := false
	for _, python := range []string{"python3", "/usr/bin/python3"} {
		path, err := exec.LookPath(python)
		if err != nil {
			continue
		}
		found = true
		if exec.CommandContext(ctx, path, "-c", "import numpy, "+name).Run() == nil {
			return path, nil
		}
	}
	if !found {
		return "", errors.New("there is no python3 here")
	}
	return "", errors.New("python3 has no scikit-image here (Debian: python3-skimage)")
}

// Read reads the photo in a file; about is roughly the hole's place, px.
func (s *Script) Read(path string, e Expect, about model.Vec) (Result, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := Result{Way: RANSAC}
	outer, bore := e.radii()
	ask, err := json.Marshal(map[string]any{"file": path, "outer": outer, "bore": bore, "x": about.X, "y": about.Y})
	if err != nil {
		return r, err
	}
	if _, err := s.in.Write(append(ask, '\n')); err != nil {
		return r, fmt.Errorf("vision/peers: the script has ended: %w", err)
	}
	if !s.out.Scan() {
		return r, fmt.Errorf("vision/peers: the script has ended: %w", s.out.Err())
	}
	var got struct {
		OK             bool
		OX, OY, BX, BY float64
	}
	if err := json.Unmarshal(s.out.Bytes(), &got); err != nil {
		return r, fmt.Errorf("vision/peers: the script answers %q: %w", s.out.Text(), err)
	}
	if got.OK {
		r.OK, r.Centre = true, model.Vec{X: got.BX, Y: got.BY}
		r.Mismatch = e.mismatch(model.Vec{X: got.OX, Y: got.OY}, r.Centre)
	}
	return r, nil
}

// WriteGray writes a grey picture as PNG for the script to read.
func WriteGray(path string, gray []byte, w, h int) error {
	img := &image.Gray{Pix: gray, Stride: w, Rect: image.Rect(0, 0, w, h)}
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("vision/peers: %w", err)
	}
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := errors.Join(enc.Encode(f, img), f.Close()); err != nil {
		return fmt.Errorf("vision/peers: write %q: %w", path, err)
	}
	return nil
}

// Close ends the process.
func (s *Script) Close() {
	s.in.Close()
	s.stop()
	s.cmd.Wait()
}
