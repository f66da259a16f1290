// Package kit holds the window's own small widgets: slips of paper, figures that
// fill the width they get, drawings made off the UI goroutine. They know how
// things look, not what they mean.
package kit
