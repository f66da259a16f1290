package kit

import (
	"image/color"

	"evenrim/ui/look"
)

// Exit is the exit rim's tint, used for a third thing beside the two setups.
func Exit(p look.Palette) color.Color { return p.Exit }
