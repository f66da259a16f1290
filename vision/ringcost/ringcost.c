#include <math.h>
#include <stdint.h>
#include <string.h>

#include "ringcost.h"

// As in columns.c: the same numbers whatever the processor's vectors are.
#pragma GCC optimize("O3,no-unsafe-math-optimizations,no-finite-math-only,signed-zeros,no-trapping-math,fp-contract=off")
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define ANY_PROCESSOR __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define ANY_PROCESSOR
#endif
#define INLINE static inline __attribute__((always_inline))

enum { SECTORS = EVENRIM_SECTORS, LANES = 8 };
typedef double four __attribute__((vector_size(32), aligned(8)));
typedef double lanes __attribute__((vector_size(8 * LANES), aligned(8)));

INLINE double total(const double *x, int m) {
  lanes sum = {0};
  for (int p = 0; p < m; p += LANES) sum += *(const lanes *)(x + p);
  double s = 0;
  for (int i = 0; i < LANES; i++) s += sum[i];
  return s;
}

INLINE void sums_at(const double *row, int samples, double at, four *out) {
  int i = (int)at < samples - 1 ? (int)at : samples - 1;
  four x = *(const four *)(row + 4L * i), y = *(const four *)(row + 4L * i + 4);
  double f = at - i;
  *out = x + f * (y - x);
}

// The logarithm of a positive normal number, to 2e-6.
INLINE double quick_log(double x) {
  const uint64_t sqrt_half = 0x3fe6a09e667f3bcd, bias = (uint64_t)1024 << 52, magic = 0x4330000000000000;
  uint64_t u;
  memcpy(&u, &x, 8);
  uint64_t e = (u - sqrt_half + bias) >> 52, bits = u - (e << 52) + bias, tagged = e | magic;
  double m, power;
  memcpy(&m, &bits, 8); // in [sqrt 1/2, sqrt 2)
  memcpy(&power, &tagged, 8);
  double t = (m - 1) / (m + 1), t2 = t * t;
  return (power - 4503599627370496.0 - 1024) * M_LN2 + 2 * t * (1 + t2 * (1.0 / 3 + t2 * (1.0 / 5 + t2 * (1.0 / 7))));
}

// Adds to cost, for each sector looked at, the number of samples between from and to
// times the logarithm of their variance about the shade.
INLINE void add_cost(const struct evenrim_ring *r, int every, const double *sums, const double *from, const double *to, int shade, double *cost) {
  int m = SECTORS / every;
  double a[SECTORS], b[SECTORS], v[SECTORS], v2[SECTORS], kv[SECTORS], k2v[SECTORS];
  for (int p = 0; p < m; p++) {
    double whole = to[p] - from[p], guard = whole / 4 < r->guard ? whole / 4 : r->guard;
    guard = guard > 0 ? guard : 0;
    a[p] = from[p] + guard;
    b[p] = to[p] - guard;
  }
  for (int p = 0; p < m; p++) {
    const double *row = sums + (long)p * every * 4 * (r->samples + 1);
    four d, low;
    sums_at(row, r->samples, b[p], &d);
    sums_at(row, r->samples, a[p], &low);
    d -= low;
    v[p] = d[0];
    v2[p] = d[1];
    kv[p] = d[2];
    k2v[p] = d[3];
  }
  for (int p = 0; p < m; p++) {
    double whole = to[p] - from[p], length = b[p] - a[p], safe = length > 0.1 ? length : 0.1;
    double per_length = 1 / safe, per_sample = per_length / r->rays;
    double mean = v[p] * per_sample, variance = v2[p] * per_sample - mean * mean;
    double middle = (a[p] + b[p] - 1) / 2, moment = kv[p] * per_sample;
    double slope = (moment - middle * mean) * per_length;
    double sloping = shade > 0 && length > r->least_slope ? slope * slope * 12 : 0;
    double bend = (k2v[p] * per_sample - middle * (2 * moment - middle * mean)) * per_length * per_length - mean / 12;
    double bent = shade > 1 && length > r->least_bend ? bend * bend * 180 : 0;
    variance = variance - sloping - bent;
    variance = (variance > 0 ? variance : 0) + r->least_variance;
    double c = whole * r->rays * quick_log(variance);
    cost[p] += whole < 0.5 ? 0 : c;
  }
}

INLINE double edge_at(const struct evenrim_ring *r, int every, const float *edge, int p, double at) {
  int i = (int)at;
  if (i < 0 || i + 1 >= r->samples) return 0;
  const float *row = edge + (long)p * every * r->samples;
  double f = at - i;
  return row[i] * (1 - f) + row[i + 1] * f;
}

ANY_PROCESSOR void evenrim_ring_cross(const struct evenrim_ring *r, int every, const double circle[3], double *at) {
  int m = SECTORS / every;
  double x = circle[0] - r->x, y = circle[1] - r->y, far = circle[2] * circle[2] - x * x - y * y;
  for (int p = 0; p < m; p++) {
    double along = x * r->cosine[p * every] + y * r->sine[p * every], half2 = far + along * along;
    double d = along + sqrt(half2 > 0 ? half2 : 0) - r->nearest;
    d = d > 0 ? d : 0;
    d = d < r->samples ? d : r->samples;
    at[p] = half2 > 0 ? d : 0;
  }
}

ANY_PROCESSOR double evenrim_ring_face(const struct evenrim_ring *r, int every, const double *sums, const float *edge, const double *bore, const double *outer) {
  int m = SECTORS / every;
  double cost[SECTORS] = {0}, out[SECTORS], end[SECTORS], edges = 0;
  for (int p = 0; p < m; p++) {
    out[p] = outer[p] > bore[p] ? outer[p] : bore[p];
    end[p] = r->samples;
  }
  add_cost(r, every, sums, out, end, 1, cost);
  add_cost(r, every, sums, bore, out, 0, cost);
  for (int p = 0; p < m; p++) {
    edges += edge_at(r, every, edge, p, bore[p]);
    if (out[p] > bore[p] + 1) edges += edge_at(r, every, edge, p, out[p]);
  }
  return every * (r->share * total(cost, m) / 2 - r->gain * edges);
}

ANY_PROCESSOR double evenrim_ring_inside(const struct evenrim_ring *r, int every, int wall, int backing, const double *sums, const float *edge, const double *bore, const double *exit) {
  int m = SECTORS / every;
  double cost[SECTORS] = {0}, in[SECTORS] = {0}, zero[SECTORS] = {0}, edges = 0;
  if (exit) {
    for (int p = 0; p < m; p++) in[p] = exit[p] < bore[p] ? exit[p] : bore[p];
    if (backing == 2) {
      add_cost(r, every, sums, zero, in, 2, cost);
    } else {
      add_cost(r, every, sums, zero, in, 1, cost);
    }
    for (int p = 0; p < m; p++) {
      if (in[p] < bore[p] - 1) edges += edge_at(r, every, edge, p, in[p]);
    }
  }
  if (wall == 2) {
    add_cost(r, every, sums, in, bore, 2, cost);
  } else {
    add_cost(r, every, sums, in, bore, 1, cost);
  }
  return every * (r->share * total(cost, m) / 2 - r->gain * edges);
}
