//go:build !linux || wayland

package main

// sayWhenDisplayIsLost does nothing where no X11 library is used.
func sayWhenDisplayIsLost() {}
