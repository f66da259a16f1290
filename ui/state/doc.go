// Package state is what the window knows and says, without the window: which
// photos lie on the bench, what the job card reads, which words and figures the
// result sheet shows. It imports no toolkit, so that all of it is tested in
// milliseconds; package ui and its pages only lay it out.
//
// Nothing here is safe for concurrent use: it belongs to the UI goroutine.
package state
