// Package photo shows a photo at any zoom with thin lines over it. View, Pyramid,
// Render and Overlay are plain Go without the toolkit; Viewer is the widget.
//
// Positions are photo pixels with centres at integers (package model); device
// pixels are those of the screen.
package photo
