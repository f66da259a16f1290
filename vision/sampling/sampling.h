#ifndef EVENRIM_SAMPLING_H
#define EVENRIM_SAMPLING_H

// Sets out to the mean tone of the dense x dense pixels spread over a square about each of n
// places, whose sides lie along step: from the middle to the nth pixel along one side, and,
// turned by a right angle, along the other. Outside the picture its border goes on.
void evenrim_squares(const void *pixels, int deep, int width, int height, const float *tone, const double *x, const double *y, int n, const double *step, int dense, float *out);

// Sets sums to those of n blocks side by side from the left, side pixels wide, over some rows.
void evenrim_blocks(const void *pixels, int deep, int width, const int *row, int rows, int side, int n, unsigned *sums);

#endif
