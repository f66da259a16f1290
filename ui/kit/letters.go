package kit

import "evenrim/ui/look"

// letterSize is the size of text at times the theme's.
func letterSize(times float32) float32 { return times * look.Text() }
