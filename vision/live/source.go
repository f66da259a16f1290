package live

import (
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"gocv.io/x/gocv"

	"evenrim/model/live"
	"evenrim/vision"
	"evenrim/vision/synth"
)

// Source gives pictures one after another. It is used by one goroutine.
type Source interface {
	// Next waits for the next picture. The error is a *live.Problem where the
	// source gives none any more, or ctx's.
	Next(ctx context.Context) (*frame, error)
	// Name is what the user calls it.
	Name() string
	// Close lets go of the device; a second call does nothing.
	Close()
}

const (
	// wantWidth and wantHeight are asked of a camera; it gives what it has.
	wantWidth, wantHeight = 1920, 1080
	// showWidth is the widest picture that is handed to the screen.
	showWidth = 1920
	// showEvery is how often the screen gets a picture.
	showEvery = 45 * time.Millisecond
	// MaxDevice is the largest number of a camera that is tried.
	MaxDevice = 63
	// firstPictures is how many empty pictures a camera may give while it wakes up.
	firstPictures = 20
)

// capture is a Source by OpenCV's VideoCapture.
type capture struct {
	vc    *gocv.VideoCapture
	mat   gocv.Mat
	name  string
	begun time.Time

	file   bool
	series string // pattern of a folder's numbered pictures; "" = one file, or a camera
	paced  bool   // a film runs at its own speed
	period time.Duration

	seq      int
	shown    time.Duration
	released bool
}

// OpenCamera opens the camera of a number, 0 being the first.
func OpenCamera(device int) (Source, error) {
	if device < 0 || device > MaxDevice {
		return nil, &live.Problem{Sentence: fmt.Sprintf("A camera's number is 0 to %d, not %d.", MaxDevice, device)}
	}
	none := func(cause error) error {
		return &live.Problem{Cause: cause, Sentence: fmt.Sprintf("No camera answers as number %d: plug it in, close other programs that use it, or try another number.", device)}
	}
	api := gocv.VideoCaptureAny
	if runtime.GOOS == "linux" {
		// OpenCV prints complaints of its own about a device that isn't there.
		if _, err := os.Stat(fmt.Sprintf("/dev/video%d", device)); err != nil {
			return nil, none(err)
		}
		api = gocv.VideoCaptureV4L2
	}
	vc, err := gocv.VideoCaptureDeviceWithAPI(device, api)
	if err != nil {
		return nil, none(err)
	}
	vc.Set(gocv.VideoCaptureFOURCC, vc.ToCodec("MJPG")) // the wide formats come only so over USB
	vc.Set(gocv.VideoCaptureFrameWidth, wantWidth)
	vc.Set(gocv.VideoCaptureFrameHeight, wantHeight)
	vc.Set(gocv.VideoCaptureBufferSize, 1)
	return newCapture(vc, fmt.Sprintf("camera %d", device), false), nil
}

// OpenFilm opens a video file. paced lets it run at its own speed, as a camera
// would; else its pictures come as fast as they are read, none left out. A folder
// is a film too if it holds pictures as evenrim synth --film writes them.
func OpenFilm(path string, paced bool) (Source, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, &live.Problem{Cause: err, Sentence: "There is no such video file: check the name and the folder."}
	case err != nil:
		return nil, &live.Problem{Cause: err, Sentence: "The video file cannot be opened: check that this user may read it."}
	case info.IsDir():
		return openSeries(path, paced)
	case !info.Mode().IsRegular():
		return nil, &live.Problem{Sentence: "This is not a video file: choose a file, for example .avi or .mp4."}
	}
	bad := func(cause error) error {
		return &live.Problem{Cause: cause, Sentence: "This file is no video that can be read here: try .avi, .mp4 or .mkv, or use a photo."}
	}
	// By name: left to choose, OpenCV tries all its readers, each with a complaint.
	vc, err := gocv.VideoCaptureFileWithAPI(path, gocv.VideoCaptureFFmpeg)
	if err != nil {
		return nil, bad(err)
	}
	c := newCapture(vc, filepath.Base(path), true)
	c.paced = paced
	fps := vc.Get(gocv.VideoCaptureFPS)
	if !(fps >= 1 && fps <= 1000) {
		fps = 30
	}
	c.period = time.Duration(float64(time.Second) / fps)
	if w, h := vc.Get(gocv.VideoCaptureFrameWidth), vc.Get(gocv.VideoCaptureFrameHeight); w*h > vision.MaxPixels {
		c.Close()
		return nil, bad(fmt.Errorf("%g x %g pixels", w, h))
	}
	return c, nil
}

// openSeries opens a folder of numbered pictures, 30 a second.
func openSeries(dir string, paced bool) (Source, error) {
	none := &live.Problem{Sentence: "There is no film in this folder: choose a video file, or a folder that evenrim synth --film has written."}
	for _, ext := range []string{".jpg", ".png"} {
		pattern := filepath.Join(dir, synth.FramePattern+ext)
		if _, err := os.Stat(fmt.Sprintf(pattern, 1)); err != nil || strings.Count(pattern, "%") != 1 {
			continue
		}
		vc, err := gocv.VideoCaptureFileWithAPI(pattern, gocv.VideoCaptureImages)
		if err != nil {
			none.Cause = err
			return nil, none
		}
		c := newCapture(vc, filepath.Base(dir), true)
		c.paced, c.period, c.series = paced, time.Second/30, pattern
		return c, nil
	}
	return nil, none
}

func newCapture(vc *gocv.VideoCapture, name string, file bool) *capture {
	return &capture{vc: vc, mat: gocv.NewMat(), name: name, begun: time.Now(), file: file, shown: -time.Hour}
}

func (c *capture) Name() string { return c.name }

func (c *capture) Close() {
	if !c.released {
		c.released = true
		c.vc.Close()
		c.mat.Close()
	}
}

// Next implements Source.
func (c *capture) Next(ctx context.Context) (*frame, error) {
	for try := 0; ; try++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if c.released {
			return nil, &live.Problem{Sentence: "The camera is closed: open it again."}
		}
		if c.paced {
			if err := c.await(ctx); err != nil {
				return nil, err
			}
		}
		if c.more() && c.vc.Read(&c.mat) && !c.mat.Empty() {
			break
		}
		switch {
		case c.file && c.seq == 0:
			return nil, &live.Problem{Sentence: "There is no picture in this video file: it may be cut short, or of a kind that cannot be read here."}
		case c.file:
			return nil, &live.Problem{Over: true, Sentence: "The film is over: play it again, or choose another."}
		case c.seq > 0:
			return nil, &live.Problem{Sentence: "The camera gives no pictures any more: check its cable, then open it again."}
		case try >= firstPictures:
			return nil, &live.Problem{Sentence: "The camera is there but gives no picture: unplug it, plug it in again, and close other programs that use it."}
		}
		select { // a camera that wakes up
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(50 * time.Millisecond):
		}
	}
	return c.take()
}

// more says whether a folder has another picture: asked for one that isn't there,
// OpenCV complains on the terminal.
func (c *capture) more() bool {
	if c.series == "" {
		return true
	}
	_, err := os.Stat(fmt.Sprintf(c.series, c.seq+1))
	return err == nil
}

// await holds a film to its own speed.
func (c *capture) await(ctx context.Context) error {
	wait := time.Until(c.begun.Add(time.Duration(c.seq) * c.period))
	if wait <= 0 {
		return nil
	}
	t := time.NewTimer(wait)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-t.C:
		return nil
	}
}

// take copies the picture out of OpenCV's hands.
func (c *capture) take() (*frame, error) {
	// A failed check inside OpenCV would end the program: types first.
	odd := &live.Problem{Sentence: "The pictures are of a kind that cannot be read here: choose another camera or file."}
	switch c.mat.Type() {
	case gocv.MatTypeCV8UC3:
	case gocv.MatTypeCV8UC1:
		gocv.CvtColor(c.mat, &c.mat, gocv.ColorGrayToBGR)
	case gocv.MatTypeCV8UC4:
		gocv.CvtColor(c.mat, &c.mat, gocv.ColorBGRAToBGR)
	default:
		return nil, odd
	}
	w, h := c.mat.Cols(), c.mat.Rows()
	if w < vision.MinSidePx || h < vision.MinSidePx || w*h > vision.MaxPixels {
		return nil, odd
	}
	c.seq++
	f := &frame{seq: c.seq, w: w, h: h, at: time.Since(c.begun)}
	if c.file && !c.paced {
		f.at = time.Duration(c.seq) * c.period
	}
	f.bgr = c.mat.ToBytes()
	gray := gocv.NewMat()
	defer gray.Close()
	gocv.CvtColor(c.mat, &gray, gocv.ColorBGRToGray)
	f.gray = gray.ToBytes()
	if f.at-c.shown >= showEvery {
		c.shown = f.at
		f.show = forScreen(c.mat)
	}
	return f, nil
}

// forScreen returns a picture as the screen's painter needs it, reduced when it
// is very wide.
func forScreen(m gocv.Mat) *image.RGBA {
	small := gocv.NewMat()
	defer small.Close()
	rgba := gocv.NewMat()
	defer rgba.Close()
	if w := m.Cols(); w > showWidth {
		size := image.Pt(showWidth, max(1, m.Rows()*showWidth/w))
		gocv.Resize(m, &small, size, 0, 0, gocv.InterpolationArea)
		gocv.CvtColor(small, &rgba, gocv.ColorBGRToRGBA)
	} else {
		gocv.CvtColor(m, &rgba, gocv.ColorBGRToRGBA)
	}
	out := &image.RGBA{Pix: rgba.ToBytes(), Stride: 4 * rgba.Cols(), Rect: image.Rect(0, 0, rgba.Cols(), rgba.Rows())}
	return out
}
