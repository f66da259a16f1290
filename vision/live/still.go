package live

import (
	"fmt"
	"strings"
	"time"

	"gocv.io/x/gocv"

	"evenrim/model/live"
)

// Still takes a picture off the session, without loss, for a reading the whole
// way: the newest, or the steadiest of the last second (the newest when no hole
// was followed in it). It may be called from any goroutine, also after the source
// has come to its end.
func (s *Session) Still(which live.Which) (live.Still, error) {
	s.mu.Lock()
	f, shake, now := s.last, s.shake, time.Duration(0)
	if f != nil {
		now = f.at
	}
	if b := s.bests.steadiest(now); which == live.Steadiest && b != nil {
		f, shake = b.f, b.shake
	}
	s.mu.Unlock()
	if f == nil {
		return live.Still{}, &live.Problem{Sentence: "There is no picture yet: wait for the camera."}
	}
	file, err := encode(f)
	if err != nil {
		return live.Still{}, err
	}
	stem := strings.TrimSuffix(s.source.Name(), extOf(s.source.Name()))
	return live.Still{Name: fmt.Sprintf("%s %06.2f s.png", stem, f.at.Seconds()), File: file, ShakePx: shake, Ago: now - f.at}, nil
}

func extOf(name string) string {
	if i := strings.LastIndexByte(name, '.'); i > 0 {
		return name[i:]
	}
	return ""
}

// encode writes a picture as PNG.
func encode(f *frame) ([]byte, error) {
	m, err := gocv.NewMatFromBytes(f.h, f.w, gocv.MatTypeCV8UC3, f.bgr)
	if err != nil {
		return nil, fmt.Errorf("vision/live: still: %w", err)
	}
	defer m.Close()
	buf, err := gocv.IMEncodeWithParams(gocv.PNGFileExt, m, []int{gocv.IMWritePngCompression, 1})
	if err != nil {
		return nil, fmt.Errorf("vision/live: still: %w", err)
	}
	defer buf.Close()
	return append([]byte(nil), buf.GetBytes()...), nil
}
