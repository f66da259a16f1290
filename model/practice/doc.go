// Package practice teaches a person to read a mismatch by eye and measures how
// well they do: exercises that repeat from a seed, marks for answers, a level
// that follows skill, the smallest mismatch that an eye catches, and progress
// over time. It draws nothing and keeps nothing: photos come from whoever can
// draw a Shot, and entries go to the record as plain JSON.
//
// Lengths are millimetres, angles radians, sizes of a mismatch often a share of
// the chamfer's width, because that is what an eye compares.
package practice
