// Package model turns traced rims into a mismatch with an honest uncertainty,
// a verdict and a correction. It knows neither OpenCV nor Fyne.
//
// # Conventions
//
// These hold in every package of the program.
//
//   - Lengths are millimetres and angles radians; a name says the unit where it
//     could be doubted (BoreMM). Conversions happen at the edges of the program.
//   - Pixels are those of the upright photo: (x, y) with x to the right and y
//     down, pixel centres at integers.
//   - Part axes are setup 2's machine axes, z up out of the photographed face,
//     z = 0 on that face, the origin on the bore axis. A job's PlusX is where +X
//     points in the photo, counter-clockwise on the screen from image-right; +Y is
//     a quarter turn counter-clockwise from +X.
//   - sigma and u are one standard deviation; a 95 % figure says so in its name.
//   - Mismatch is chamfer axis minus bore axis: setup 2 landed at +d of setup 1.
package model
