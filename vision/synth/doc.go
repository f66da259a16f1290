// Package synth draws photos of one chamfered hole from exact geometry, with
// the truth beside them: for practice, tests and the bench. It is pure Go and
// shares nothing with the tracer but the geometry in package model.
//
// # Image model
//
// A photo is made in this order, all in linear light:
//
//  1. Geometry. Face, chamfer cone, bore wall and backing follow model.Solid seen
//     through model.Camera. A pixel that a rim crosses is split into k x k
//     samples (k = 2 to 4, the finer the sharper the picture); in each sample
//     every rim's half plane covers an exactly computed area, so that a rim's place
//     does not depend on a sampling grid.
//  2. Shade. Each surface has a radiance from its normal, the lamps and its texture. An
//     edge rounding is a band whose normals sweep from one surface to the next.
//  3. Blur by a Gaussian of sd BlurPx, on the k-fold grid, then the mean over each
//     pixel's square: together a blur of variance BlurPx² + 1/12 px².
//  4. Vignetting, colour, then shot and read noise, white from pixel to pixel and
//     independent from channel to channel (Clean: white noise of one sd, grey).
//  5. Clipping to 0..1 and the sRGB curve (IEC 61966-2-1) to 8 or 16 bit.
//
// Pictures repeat bit for bit from the same Scene on one kind of processor, whatever
// the number of cores. Another kind may fuse multiply and add, which can move
// single pixels by one grey level; the noise itself, the scene and the truth do
// not change.
//
// Conventions are those of package model: pixel centres at integers, y down, mm
// and radians, angles of the part from setup 2's +X towards +Y.
package synth
