// Package live reads a hole under a moving camera: a source of pictures (a
// camera by its number, or a video file), a tracker that goes on from where the
// last picture left the rims, and a session that ties both together, looks for
// the hole in the background and keeps the steadiest still of the last second.
//
// The tracker is not the tracing of a still: it looks along some hundred rays at
// real pixels, with one blur for all, and takes the doubt about the light from the
// full trace that it began with. Its number is an estimate; a still that is kept
// goes the whole way of package vision.
//
// No Mat and no goroutine outlives Session.Close.
package live
