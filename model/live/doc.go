// Package live holds what a live camera tells a person: the phase of the hunt for the
// hole, the number of the moment, steadiness, and hints on focus and light. It is
// plain Go: package vision/live fills it, the window shows it.
//
// A live number is an estimate of the moment, made with fewer points than a kept
// still; only a still becomes a reading.
package live
