package live

import (
	"image"
	"time"
)

// frame is one picture of a source, in plain Go memory; never changed after it
// was made.
type frame struct {
	seq  int
	at   time.Duration // since the source was opened
	w, h int
	bgr  []byte // 3 w h
	gray []byte // luma, w h
	show *image.RGBA
}

// Tables from grey to linear light (IEC 61966-2-1) and to a scale of equal ratios,
// on which the dark between a bore's wall and its end differs as much as light does.
var linear, ratio = func() (lin, rat [256]float32) {
	for i := range lin {
		v := float64(i) / 255
		lin[i], rat[i] = float32(linearOf(v)), float32(ratioOf(v))
	}
	return lin, rat
}()
