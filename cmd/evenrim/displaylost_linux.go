//go:build linux && !wayland

package main

/*
#cgo LDFLAGS: -lX11
#include <unistd.h>
#include <X11/Xlib.h>

// The library lets a program say a last word, and ends it in any case. Nothing of it
// is run on the way out (exit's handlers belong to a driver that talks to the screen):
// what was kept is on the disk.
static int displayLost(Display *gone) {
	static const char words[] =
		"The screen is gone, and the window with it. What was kept is in the record: start evenrim again.\n";
	(void)gone;
	if (write(STDERR_FILENO, words, sizeof words - 1)) {}
	_exit(1);
}

static void sayWhenDisplayIsLost(void) { XSetIOErrorHandler(displayLost); }
*/
import "C"

// sayWhenDisplayIsLost ends the program with a sentence and exitMissed when the
// screen goes away under the window: the toolkit's library would end it with words
// of its own.
func sayWhenDisplayIsLost() { C.sayWhenDisplayIsLost() }
