package main

import (
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"evenrim/model"
	model_live "evenrim/model/live"
	"evenrim/ui/port"
	"evenrim/vision/live"
)

// cameras plugs package vision/live into the window.
type cameras struct{}

var _ port.Cameras = cameras{}

func (cameras) List() []int {
	if runtime.GOOS != "linux" {
		return []int{0, 1} // there is no asking without opening them
	}
	found, _ := filepath.Glob("/dev/video*")
	var out []int
	for _, path := range found {
		n, err := strconv.Atoi(strings.TrimPrefix(path, "/dev/video"))
		if err == nil && n <= live.MaxDevice {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}

func (cameras) OpenCamera(number int, card model.JobCard, show func(model_live.View)) (port.Watching, error) {
	src, err := live.OpenCamera(number)
	if err != nil {
		return nil, err
	}
	return live.Watch(src, card, false, show), nil
}

func (cameras) OpenFilm(path string, card model.JobCard, show func(model_live.View)) (port.Watching, error) {
	src, err := live.OpenFilm(path, true)
	if err != nil {
		return nil, err
	}
	return live.Watch(src, card, false, show), nil
}
