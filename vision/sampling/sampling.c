#include <stdint.h>

#include "sampling.h"

// As in columns.c: the same numbers whatever the processor's vectors are.
#pragma GCC optimize("O3,no-unsafe-math-optimizations,no-finite-math-only,signed-zeros,no-trapping-math,fp-contract=off")
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define ANY_PROCESSOR __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define ANY_PROCESSOR
#endif

enum { CHUNK = 64 };

static inline __attribute__((always_inline)) int within(int v, int end) { return v < 0 ? 0 : v < end ? v : end - 1; }

ANY_PROCESSOR void evenrim_squares(const void *pixels, int deep, int width, int height, const float *tone, const double *x, const double *y, int n, const double *step, int dense, float *out) {
  const uint8_t *shallow = pixels;
  const uint16_t *full = pixels;
  for (int at = 0; at < n; at += CHUNK) {
    int m = n - at < CHUNK ? n - at : CHUNK;
    float sum[CHUNK] = {0};
    for (int a = 0; a < dense; a++) {
      for (int b = 0; b < dense; b++) {
        int32_t place[CHUNK];
        for (int p = 0; p < m; p++) {
          int column = (int)(x[at + p] + step[2 * a] - step[2 * b + 1] + 0.5), row = (int)(y[at + p] + step[2 * a + 1] + step[2 * b] + 0.5);
          place[p] = within(row, height) * width + within(column, width);
        }
        if (deep) {
          for (int p = 0; p < m; p++) sum[p] += tone[full[place[p]]];
        } else {
          for (int p = 0; p < m; p++) sum[p] += tone[shallow[place[p]]];
        }
      }
    }
    for (int p = 0; p < m; p++) out[at + p] = sum[p] / (float)(dense * dense);
  }
}

// All rows are added up first, a piece of them at a time: that is what vectors can do.
enum { PIECE = 512 };

ANY_PROCESSOR void evenrim_blocks(const void *pixels, int deep, int width, const int *row, int rows, int side, int n, unsigned *sums) {
  for (int b = 0; b < n; b++) sums[b] = 0;
  int block = 0, left = side;
  for (int at = 0; at < n * side; at += PIECE) {
    int m = n * side - at < PIECE ? n * side - at : PIECE;
    uint32_t column[PIECE] = {0};
    for (int r = 0; r < rows; r++) {
      long from = (long)row[r] * width + at;
      if (deep) {
        const uint16_t *px = (const uint16_t *)pixels + from;
        for (int p = 0; p < m; p++) column[p] += px[p];
      } else {
        const uint8_t *px = (const uint8_t *)pixels + from;
        for (int p = 0; p < m; p++) column[p] += px[p];
      }
    }
    for (int p = 0; p < m;) {
      int end = m - p < left ? m : p + left;
      uint32_t sum = 0;
      left -= end - p;
      for (; p < end; p++) sum += column[p];
      sums[block] += sum;
      if (left == 0) block++, left = side;
    }
  }
}
