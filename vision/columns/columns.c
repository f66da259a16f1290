#include <math.h>
#include <string.h>

#include "columns.h"

// Sums are kept in a fixed number of lanes, and nothing is contracted or put in
// another order, so that the numbers are the same whatever the processor's vectors
// are. Of -ffast-math only a square root that sets no errno is left.
#pragma GCC optimize("O3,no-unsafe-math-optimizations,no-finite-math-only,signed-zeros,no-trapping-math,fp-contract=off")
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define ANY_PROCESSOR __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define ANY_PROCESSOR
#endif

enum { EDGES = EVENRIM_EDGES, UNKNOWNS = EVENRIM_UNKNOWNS, LANES = EVENRIM_LANES, CHUNK = 64 };

typedef double lanes __attribute__((vector_size(8 * LANES), aligned(8)));

#define COLUMN(c) (columns + (long)(c) * room)

// The normal distribution: nodes, and a Taylor series of fourth order from the
// nearest, good to 3e-9.
enum { PER_SD = 32, NORMAL_RANGE = 6, NODES = 2 * NORMAL_RANGE * PER_SD + 1 };
static double node_beyond[NODES], node_density[NODES];

// The exponential function likewise, good to 1e-11 of itself; below its range it is
// nothing, and above it is not asked for in earnest.
enum { EXP_FROM = -30, EXP_TO = 30, EXP_NODES = (EXP_TO - EXP_FROM) * PER_SD + 1 };
static double node_exp[EXP_NODES];

void evenrim_columns_prepare(void) {
  for (int i = 0; i < NODES; i++) {
    double t = (double)i / PER_SD - NORMAL_RANGE;
    node_beyond[i] = 0.5 * erfc(t / sqrt(2));
    node_density[i] = exp(-t * t / 2) / sqrt(2 * M_PI);
  }
  for (int i = 0; i < EXP_NODES; i++) node_exp[i] = exp((double)i / PER_SD + EXP_FROM);
}

// Sets what lies beyond t, and the density at t, for a piece of a column. In steps
// that the compiler makes vectors of, but for the looking up.
static inline __attribute__((always_inline)) void normal(const double *t, int m, double *beyond, double *density) {
  double within[CHUNK], node[CHUNK];
  int nearest[CHUNK];
  for (int p = 0; p < m; p++) within[p] = t[p] < -NORMAL_RANGE ? -NORMAL_RANGE : t[p];
  for (int p = 0; p < m; p++) within[p] = within[p] > NORMAL_RANGE ? NORMAL_RANGE : within[p];
  for (int p = 0; p < m; p++) nearest[p] = (int)((within[p] + NORMAL_RANGE) * PER_SD + 0.5);
  for (int p = 0; p < m; p++) node[p] = (double)nearest[p] * (1.0 / PER_SD) - NORMAL_RANGE;
  for (int p = 0; p < m; p++) {
    beyond[p] = node_beyond[nearest[p]];
    density[p] = node_density[nearest[p]];
  }
  for (int p = 0; p < m; p++) {
    double h = within[p] - node[p], q = density[p];
    double second = (node[p] * node[p] - 1) * (1.0 / 2), third = node[p] * (3 - node[p] * node[p]) * (1.0 / 6);
    density[p] = q * (1 + h * (-node[p] + h * (second + h * third)));
    beyond[p] -= q * h * (1 + h * (-node[p] * (1.0 / 2) + h * (second * (1.0 / 3) + h * third * (1.0 / 4))));
  }
}

// Sets e to the power of x for a piece of a column.
static inline __attribute__((always_inline)) void power_of_e(const double *x, int m, double *out) {
  for (int p = 0; p < m; p++) {
    double t = x[p] < EXP_FROM ? EXP_FROM : x[p] > EXP_TO ? EXP_TO : x[p];
    int nearest = (int)((t - EXP_FROM) * PER_SD + 0.5);
    double h = t - ((double)nearest * (1.0 / PER_SD) + EXP_FROM);
    out[p] = node_exp[nearest] * (1 + h * (1 + h * (1.0 / 2) * (1 + h * (1.0 / 3) * (1 + h * (1.0 / 4)))));
  }
}

static long filled(long n) { return (n + LANES - 1) / LANES * LANES; }

// Where the line through the centre along ray d crosses the row dy below it.
static double crossing(const double d[2], double dy) { return d[0] * dy / d[1]; }

static inline double less(double x, double y) { return x < y ? x : y; }
static inline double more(double x, double y) { return x > y ? x : y; }

struct span {
  long from, to;
};

// The runs of a row, dy below the centre of the rays, in which pixels of the arc
// within reach of a curve can lie, from left to right; they may overlap.
static inline __attribute__((always_inline)) int runs(const struct evenrim_arc *a, double y, struct span *out) {
  double dy = y - a->y;
  double left = a->x - a->farthest - 1, right = a->x + a->farthest + 1;
  // Left of "from": d0*dy - d1*dx >= 0; not left of "to". A pixel's slack: the
  // pixels themselves are asked again.
  if (a->from[1] > 0) right = less(right, a->x + crossing(a->from, dy) + 1);
  if (a->from[1] < 0) left = more(left, a->x + crossing(a->from, dy) - 1);
  if (a->to[1] > 0) left = more(left, a->x + crossing(a->to, dy) - 1);
  if (a->to[1] < 0) right = less(right, a->x + crossing(a->to, dy) + 1);
  left = more(left, 0);
  right = less(right, a->width - 1);
  if (!(left <= right)) return 0;
  int n = 0;
  for (int k = 0; k < a->curves; k++) {
    const double *c = a->curve[k];
    double dy2 = (y - c[1]) * (y - c[1]), beyond = fabs(c[3]) + fabs(c[4]) + a->reach;
    double far = c[2] + beyond, close = more(c[2] - beyond, 0);
    if (dy2 >= far * far) continue;
    double half = sqrt(far * far - dy2), hole = dy2 >= close * close ? 0 : sqrt(close * close - dy2);
    double ends[2][2] = {{c[0] - half, hole > 0 ? c[0] - hole : c[0] + half}, {c[0] + hole, c[0] + half}};
    for (int side = 0; side < (hole > 0 ? 2 : 1); side++) {
      struct span s = {(long)ceil(more(ends[side][0], left)), (long)floor(less(ends[side][1], right))};
      if (s.from > s.to) continue;
      int at = n++;
      for (; at > 0 && out[at - 1].from > s.from; at--) out[at] = out[at - 1];
      out[at] = s;
    }
  }
  return n;
}

ANY_PROCESSOR long evenrim_columns_gather(const void *pixels, const float *light, const float *shadow, const struct evenrim_arc *arc, double *columns, long room) {
  struct evenrim_arc a = *arc;
  double low = INFINITY, high = -INFINITY;
  for (int i = 0; i < 4; i++) {
    double y = (i & 1 ? a.farthest : a.nearest) * (i & 2 ? a.to[1] : a.from[1]);
    low = less(low, y);
    high = more(high, y);
  }
  // The arc bulges beyond its corners.
  double cosine = a.from[0] * a.to[0] + a.from[1] * a.to[1], bulge = a.farthest * (1 - sqrt(more((1 + cosine) / 2, 0))) + 1;
  long first = (long)more(ceil(a.y + low - bulge), 0), last = (long)less(floor(a.y + high + bulge), a.height - 1);
  long n = 0;
  for (long y = first; y <= last; y++) {
    struct span span[2 * EDGES];
    int spans = runs(&a, y, span);
    double dy = y - a.y;
    long next = 0;
    for (int s = 0; s < spans; s++) {
      long from = span[s].from > next ? span[s].from : next;
      for (; from <= span[s].to; from += CHUNK) {
        int m = span[s].to - from + 1 < CHUNK ? (int)(span[s].to - from + 1) : CHUNK;
        double away[EDGES][CHUNK];
        int64_t taken[CHUNK];
        for (int p = 0; p < m; p++) {
          double dx = (double)((int)from + p) - a.x;
          taken[p] = (a.from[0] * dy - a.from[1] * dx >= 0) & !(a.to[0] * dy - a.to[1] * dx >= 0);
        }
        int64_t near[CHUNK];
        memset(near, 0, sizeof near);
        for (int k = 0; k < a.curves; k++) {
          const double *c = a.curve[k];
          double v = y - c[1];
          for (int p = 0; p < m; p++) {
            double u = (double)((int)from + p) - c[0], r2 = u * u + v * v;
            double safe = r2 < 1e-300 ? 1e-300 : r2;
            double d = sqrt(r2) - c[2] - (c[3] * (u * u - v * v) + c[4] * 2 * u * v) / safe;
            away[k][p] = d;
            near[p] |= fabs(d) < a.reach;
          }
        }
        for (int p = 0; p < m; p++) {
          if (!(taken[p] & near[p])) continue;
          if (n < room) {
            long at = y * a.width + from + p;
            unsigned grey = a.deep ? ((const uint16_t *)pixels)[at] : ((const uint8_t *)pixels)[at];
            COLUMN(EVENRIM_LIGHT)[n] = light[grey];
            COLUMN(EVENRIM_SHADOW)[n] = shadow[grey];
            for (int k = 0; k < a.curves; k++) COLUMN(EVENRIM_AWAY + k)[n] = away[k][p];
          }
          n++;
        }
      }
      if (span[s].to + 1 > next) next = span[s].to + 1;
    }
  }
  return n;
}

ANY_PROCESSOR long evenrim_columns_choose(const struct evenrim_choice *choice, long gathered, double *columns, long room) {
  struct evenrim_choice c = *choice;
  const double *light = COLUMN(c.shadows ? EVENRIM_SHADOW : EVENRIM_LIGHT);
  double *chosen = COLUMN(EVENRIM_CHOSEN);
  long n = 0;
  for (long at = 0; at < gathered; at += CHUNK) {
    int m = gathered - at < CHUNK ? (int)(gathered - at) : CHUNK;
    int64_t near[CHUNK], within[CHUNK];
    memset(near, 0, sizeof near);
    for (int p = 0; p < m; p++) within[p] = 1;
    for (int i = 0; i < c.edges; i++) {
      const double *away = COLUMN(EVENRIM_AWAY + c.rim[i]) + at;
      for (int p = 0; p < m; p++) near[p] |= fabs(away[p]) < c.reach;
    }
    for (int k = 0; k < c.curves; k++) {
      const double *away = COLUMN(EVENRIM_AWAY + k) + at;
      for (int p = 0; p < m; p++) within[p] &= (away[p] >= c.least[k]) & (away[p] <= c.most[k]);
    }
    for (int p = 0; p < m; p++) {
      if (!(near[p] & within[p])) continue;
      chosen[n] = light[at + p];
      for (int i = 0; i < c.edges; i++) COLUMN(EVENRIM_DISTANCE + i)[n] = COLUMN(EVENRIM_AWAY + c.rim[i])[at + p];
      n++;
    }
  }
  // What fills up the last lanes must be finite; it gets no weight.
  for (long p = n; p < filled(n); p++) {
    chosen[p] = 0;
    for (int i = 0; i < c.edges; i++) COLUMN(EVENRIM_DISTANCE + i)[p] = 0;
  }
  return n;
}

void evenrim_columns_regions(const struct evenrim_fit *f, const double *columns, long room, struct evenrim_regions *out) {
  memset(out, 0, sizeof *out);
  for (long p = 0; p < f->pixels; p++) {
    int region = 0;
    double w = 1, light = COLUMN(EVENRIM_CHOSEN)[p];
    for (int i = 0; i < f->edges; i++) {
      double d = COLUMN(EVENRIM_DISTANCE + i)[p];
      region = d < 0 ? i + 1 : region;
      w = fabs(d) < f->width[i] ? 0.05 : w;
    }
    out->sum[region] += w * light;
    out->weight[region] += w;
    out->count[region]++;
    out->full[region] += light >= f->full;
  }
}

// Light that fades into the bore, by 1/e each "fade" px: as steep at the edge as a straight
// ramp would be everywhere. An exponential that ends at an edge, blurred by a normal
// distribution, is the same exponential times a normal distribution.
static inline __attribute__((always_inline)) void fade(const struct evenrim_fit *f, double *columns, long room) {
  long n = filled(f->pixels);
  int i = f->wall - 1;
  double length = f->fade, ratio = f->width[i] / length;
  const double *restrict blurs = COLUMN(EVENRIM_BLURS + i), *restrict share = COLUMN(EVENRIM_SHARE + f->wall);
  // What lies further in than the wall, if an edge ends it.
  const double *restrict further = f->wall < f->edges ? COLUMN(EVENRIM_SHARE + f->wall + 1) : 0;
  double *restrict ramp = COLUMN(EVENRIM_RAMP), *restrict steepness = COLUMN(EVENRIM_STEEPNESS);
  for (long at = 0; at < n; at += CHUNK) {
    int m = n - at < CHUNK ? (int)(n - at) : CHUNK;
    double deep[CHUNK], power[CHUNK], beyond[CHUNK], density[CHUNK], rest[CHUNK];
    for (int p = 0; p < m; p++) {
      deep[p] = blurs[at + p] + ratio;
      power[p] = ratio * (blurs[at + p] + ratio / 2);
      rest[p] = further ? further[at + p] : 0;
    }
    normal(deep, m, beyond, density);
    power_of_e(power, m, power);
    for (int p = 0; p < m; p++) {
      double inside = share[at + p] + rest[p], light = less(power[p] * beyond[p], inside);
      double of_wall = inside > 1e-9 ? light * share[at + p] / inside : 0;
      steepness[at + p] = of_wall;
      ramp[at + p] = -length * (share[at + p] - of_wall);
    }
  }
}

// Light that grows outwards along a straight line in the region inside edge i, blurred, and
// ending at the edge.
static inline __attribute__((always_inline)) void straight(const struct evenrim_fit *f, int i, double *restrict out, const double *columns, long room) {
  long n = filled(f->pixels);
  double width = f->width[i];
  const double *restrict blurs = COLUMN(EVENRIM_BLURS + i), *restrict bell = COLUMN(EVENRIM_BELL + i), *restrict share = COLUMN(EVENRIM_SHARE + i + 1);
  for (long p = 0; p < n; p++) out[p] = width * (blurs[p] * share[p] - width * bell[p]);
}

ANY_PROCESSOR void evenrim_columns_look(const struct evenrim_fit *f, double *columns, long room) {
  long n = filled(f->pixels);
  for (int i = 0; i < f->edges; i++) {
    double place = f->place[i], per_blur = 1 / f->width[i];
    const double *restrict distance = COLUMN(EVENRIM_DISTANCE + i);
    double *restrict blurs = COLUMN(EVENRIM_BLURS + i), *restrict bell = COLUMN(EVENRIM_BELL + i), *restrict bell_sq = COLUMN(EVENRIM_BELL_SQ + i);
    double *restrict outside = COLUMN(EVENRIM_SHARE + i), *restrict outside_sq = COLUMN(EVENRIM_SHARE_SQ + i);
    double *restrict inside = COLUMN(EVENRIM_SHARE + i + 1), *restrict inside_sq = COLUMN(EVENRIM_SHARE_SQ + i + 1);
    if (i == 0) {
      for (long p = 0; p < n; p++) outside[p] = outside_sq[p] = 1;
    }
    for (long at = 0; at < n; at += CHUNK) {
      int m = n - at < CHUNK ? (int)(n - at) : CHUNK;
      double t[CHUNK], wide[CHUNK], beyond[CHUNK], density[CHUNK], beyond_sq[CHUNK], density_sq[CHUNK];
      for (int p = 0; p < m; p++) {
        t[p] = (distance[at + p] - place) * per_blur;
        wide[p] = t[p] * M_SQRT2;
      }
      normal(t, m, beyond, density);
      normal(wide, m, beyond_sq, density_sq);
      for (int p = 0; p < m; p++) {
        blurs[at + p] = t[p];
        bell[at + p] = density[p] * per_blur;
        bell_sq[at + p] = density_sq[p];
      }
      // All that lies inside this edge, until the next one is looked at.
      for (int p = 0; p < m; p++) {
        double rest = outside[at + p] - beyond[p], rest_sq = outside_sq[at + p] - beyond_sq[p];
        outside[at + p] = rest > 0 ? rest : 0;
        outside_sq[at + p] = rest_sq > 0 ? rest_sq : 0;
      }
      for (int p = 0; p < m; p++) {
        inside[at + p] = beyond[p];
        inside_sq[at + p] = beyond_sq[p];
      }
    }
  }
  if (f->wall > 0 && f->fade > 0) fade(f, columns, room);
  if (f->wall > 0 && !(f->fade > 0)) {
    straight(f, f->wall - 1, COLUMN(EVENRIM_RAMP), columns, room);
    memcpy(COLUMN(EVENRIM_STEEPNESS), COLUMN(EVENRIM_SHARE + f->wall), n * sizeof(double));
  }
  if (f->chamfer > 0) straight(f, f->chamfer - 1, COLUMN(EVENRIM_INCLINE), columns, room);
}

static inline __attribute__((always_inline)) double total(const lanes *v) {
  double s = 0;
  for (int i = 0; i < LANES; i++) s += (*v)[i];
  return s;
}

// Adds the products of two pieces of columns to sum.
static inline __attribute__((always_inline)) void add_product(lanes *sum, const double *x, const double *y, int m) {
  lanes s = *sum;
  for (int p = 0; p < m; p += LANES) s += *(const lanes *)(x + p) * *(const lanes *)(y + p);
  *sum = s;
}

ANY_PROCESSOR void evenrim_columns_equations(struct evenrim_fit *f, const double *columns, long room) {
  int k = f->edges, n = f->unknowns;
  lanes a[UNKNOWNS * (UNKNOWNS + 1) / 2], b[UNKNOWNS], fall_b[EDGES], fall_a[EDGES * (EDGES + 1) / 2], sum_sq[EDGES + 1], count[EDGES + 1];
  memset(a, 0, sizeof a);
  memset(b, 0, sizeof b);
  memset(fall_a, 0, sizeof fall_a);
  memset(fall_b, 0, sizeof fall_b);
  memset(sum_sq, 0, sizeof sum_sq);
  memset(count, 0, sizeof count);
  double own[2 * EDGES][CHUNK], fall[EDGES][CHUNK], predicted[CHUNK], sure[CHUNK], misfit[CHUNK], weight[CHUNK], weighted[CHUNK], surprise[CHUNK], held[2][CHUNK];
  const double *rows[UNKNOWNS];
  for (long at = 0; at < f->pixels; at += CHUNK) {
    long left = f->pixels - at;
    int m = left < CHUNK ? (int)filled(left) : CHUNK;
    double variance[CHUNK];
    for (int p = 0; p < m; p++) predicted[p] = variance[p] = 0;
    for (int i = 0; i <= k; i++) {
      const double *share = COLUMN(EVENRIM_SHARE + i) + at, *share_sq = COLUMN(EVENRIM_SHARE_SQ + i) + at;
      double level = f->level[i], v = f->variance[i];
      rows[i] = share;
      for (int p = 0; p < m; p++) {
        predicted[p] += level * share[p];
        variance[p] += v * share_sq[p];
      }
    }
    for (int i = 0; i < k; i++) {
      const double *bell = COLUMN(EVENRIM_BELL + i) + at, *blurs = COLUMN(EVENRIM_BLURS + i) + at;
      double step = f->level[i + 1] - f->level[i], glint = f->line[i], line = glint / f->width[i];
      double *shift = own[i];
      rows[f->shift + i] = shift;
      if (f->glint >= 0) {
        rows[f->glint + i] = bell;
        for (int p = 0; p < m; p++) {
          predicted[p] += glint * bell[p];
          shift[p] = bell[p] * (step + line * blurs[p]);
        }
      } else {
        for (int p = 0; p < m; p++) shift[p] = step * bell[p];
      }
      if (f->blur >= 0) {
        double *wider = own[EDGES + i];
        rows[f->blur + i] = wider;
        for (int p = 0; p < m; p++) wider[p] = bell[p] * (step * blurs[p] + line * (blurs[p] * blurs[p] - 1));
      }
    }
    if (f->slope >= 0) {
      const double *ramp = COLUMN(EVENRIM_RAMP) + at, *steepness = COLUMN(EVENRIM_STEEPNESS) + at;
      double *shift = own[f->wall - 1], slope = f->ramp;
      rows[f->slope] = ramp;
      for (int p = 0; p < m; p++) {
        predicted[p] += slope * ramp[p];
        shift[p] -= slope * steepness[p];
      }
    }
    if (f->incline >= 0) {
      const double *incline = COLUMN(EVENRIM_INCLINE) + at, *share = COLUMN(EVENRIM_SHARE + f->chamfer) + at;
      double *shift = own[f->chamfer - 1], inclined = f->inclined;
      rows[f->incline] = incline;
      for (int p = 0; p < m; p++) {
        predicted[p] += inclined * incline[p];
        shift[p] -= inclined * share[p];
      }
      if (f->chamfer < k) {
        // Where the bore edge moves inwards there is more of the inclined light.
        const double *blurs = COLUMN(EVENRIM_BLURS + f->chamfer - 1) + at, *bell = COLUMN(EVENRIM_BELL + f->chamfer) + at;
        double *end = own[f->chamfer], width = f->width[f->chamfer - 1];
        for (int p = 0; p < m; p++) end[p] -= inclined * width * blurs[p] * bell[p];
      }
    }
    const double *light = COLUMN(EVENRIM_CHOSEN) + at;
    for (int p = 0; p < m; p++) {
      sure[p] = 1 / variance[p];
      weight[p] = sure[p];
    }
    if (f->clip) {
      // The model is too bright here. It must feel so, but by no more than the
      // picture can show; where the picture is saturated as the model says, no more
      // can be learnt.
      for (int p = 0; p < m; p++) {
        int64_t over = predicted[p] >= f->full, white = light[p] >= f->nearly_full;
        predicted[p] = over ? 1 : predicted[p];
        weight[p] = over & white ? 0 : weight[p];
      }
    }
    for (int p = (int)(left < m ? left : m); p < m; p++) weight[p] = 0;
    double most = f->most_scatter;
    for (int p = 0; p < m; p++) {
      double res = light[p] - predicted[p], z2 = res * res * weight[p], s = z2 - 1;
      misfit[p] = res;
      surprise[p] = s < most ? s : most;
      held[0][p] = z2;
    }
    if (f->robust) {
      // Sparkles and dust: Huber's weight at 2.5 sd.
      for (int p = 0; p < m; p++) {
        double z2 = held[0][p] > 6.25 ? held[0][p] : 6.25;
        weight[p] *= 2.5 / sqrt(z2);
      }
    }
    for (int i = 0; i <= k; i++) {
      const double *share = rows[i];
      for (int p = 0; p < m; p++) {
        double in = (share[p] > 0.8) & (weight[p] > 0) ? 1 : 0;
        held[0][p] = in;
        held[1][p] = in * misfit[p];
      }
      lanes n = count[i];
      for (int p = 0; p < m; p += LANES) n += *(const lanes *)(held[0] + p);
      count[i] = n;
      add_product(&sum_sq[i], held[1], held[1], m);
    }
    for (int i = 0, cell = 0; i < n; i++) {
      const double *row = rows[i];
      for (int p = 0; p < m; p++) weighted[p] = weight[p] * row[p];
      add_product(&b[i], weighted, misfit, m);
      for (int j = 0; j <= i; j++, cell++) add_product(&a[cell], weighted, rows[j], m);
    }
    if (f->scatter) {
      for (int i = 0, cell = 0; i < k; i++) {
        double slope = (f->variance[i + 1] - f->variance[i]) * M_SQRT2 / f->width[i];
        const double *bell_sq = COLUMN(EVENRIM_BELL_SQ + i) + at;
        for (int p = 0; p < m; p++) fall[i][p] = weight[p] > 0 ? slope * bell_sq[p] * sure[p] : 0;
        add_product(&fall_b[i], surprise, fall[i], m);
        for (int j = 0; j <= i; j++, cell++) add_product(&fall_a[cell], fall[i], fall[j], m);
      }
    }
  }
  for (int i = 0, cell = 0; i < n; i++) {
    f->b[i] = total(&b[i]);
    for (int j = 0; j <= i; j++, cell++) f->a[i * n + j] = total(&a[cell]);
  }
  for (int i = 0, cell = 0; i < k; i++) {
    f->b[f->shift + i] += f->scatter_share * total(&fall_b[i]);
    for (int j = 0; j <= i; j++, cell++) f->a[(f->shift + i) * n + f->shift + j] += f->scatter_share * total(&fall_a[cell]);
  }
  for (int i = 0; i <= k; i++) {
    f->sum_sq[i] = total(&sum_sq[i]);
    f->count[i] = total(&count[i]);
  }
}
