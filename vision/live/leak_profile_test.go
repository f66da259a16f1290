//go:build matprofile

package live

import "gocv.io/x/gocv"

func matsLeft() int { return gocv.MatProfile.Count() }
