// Package chart draws every picture of numbers in the program, so that window
// and report show the same thing in the same colours: the target map, the width
// curve, the unrolled rim, the charts of a batch.
//
// Functions return a *plot.Plot (gonum/plot) or an image; Render, WritePNG,
// WriteSVG and WritePDF turn a plot into pixels or a file. Nothing here computes
// a measurement: numbers come ready from package model or as plain data.
package chart
