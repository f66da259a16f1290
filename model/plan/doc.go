// Package plan answers questions before the cut and before the photo: will this
// flip hold the tolerance, which chamfer shows a mismatch of the tolerance, how to
// photograph it, and where part zero is once the original reference faces are
// gone. Lengths are mm, angles rad, as everywhere (package model).
//
// # The part in the vise
//
// Part axes are setup 2's: X to the right, Y to the rear where the fixed jaw is, Z
// up, part zero at the left rear corner of the face that lies up in setup 2. The
// part reaches from x = 0 to LengthMM, from y = -WidthMM to 0 and from z =
// -ThicknessMM to 0. X is picked up from an end face, Y from the face at the fixed
// jaw. Mismatch at a place is where setup 2 cut less where setup 1 cut, in setup
// 2's axes.
package plan
