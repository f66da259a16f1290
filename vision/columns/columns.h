#ifndef EVENRIM_COLUMNS_H
#define EVENRIM_COLUMNS_H
#include <stdint.h>

enum {
  EVENRIM_EDGES = 3,                        // most edges of a model
  EVENRIM_UNKNOWNS = EVENRIM_EDGES + 1 + 3 * EVENRIM_EDGES + 2,
  EVENRIM_LANES = 8,                        // columns are filled up to a multiple of it
};

// The columns, each a number of pixels long. First what was gathered, then what is
// chosen of it for a model, then what look leaves.
enum {
  EVENRIM_LIGHT,
  EVENRIM_SHADOW,
  EVENRIM_AWAY,                                     // outside each curve, px
  EVENRIM_CHOSEN = EVENRIM_AWAY + EVENRIM_EDGES,    // light of the chosen
  EVENRIM_DISTANCE,                                 // outside the model's curves, px
  EVENRIM_BLURS = EVENRIM_DISTANCE + EVENRIM_EDGES, // outside the edge, blurs
  EVENRIM_BELL = EVENRIM_BLURS + EVENRIM_EDGES,     // by how much light falls, per px
  EVENRIM_BELL_SQ = EVENRIM_BELL + EVENRIM_EDGES,   // and its variance, per blur
  EVENRIM_SHARE = EVENRIM_BELL_SQ + EVENRIM_EDGES,  // of a region in the light
  EVENRIM_SHARE_SQ = EVENRIM_SHARE + EVENRIM_EDGES + 1, // and in its variance
  EVENRIM_RAMP = EVENRIM_SHARE_SQ + EVENRIM_EDGES + 1,  // of light that grows outwards in the wall, px
  EVENRIM_STEEPNESS,                                    // of that growth
  EVENRIM_INCLINE,                                      // of light that grows outwards in the chamfer, px
  EVENRIM_COLUMNS
};

// An arc to gather: photo, curves (x, y, radius, cosine and sine of the second
// harmonic), and the two rays from a centre that it lies between.
struct evenrim_arc {
  int width, height, deep; // deep: 16 bits a pixel
  int curves;
  double curve[EVENRIM_EDGES][5];
  double x, y;             // centre of the rays
  double from[2], to[2];   // unit vectors; "to" itself belongs to the next arc
  double reach, nearest, farthest; // px; the last two from the centre
};

// A choice among what was gathered.
struct evenrim_choice {
  int edges, rim[EVENRIM_EDGES], curves, shadows;
  double reach, least[EVENRIM_EDGES], most[EVENRIM_EDGES];
};

// A fit's state, and its normal equations.
struct evenrim_fit {
  int edges, pixels, unknowns, shift, glint, blur, slope, incline; // the last four: -1 = not asked
  int wall, chamfer;                                                // regions, 0 = none
  int robust, clip, scatter;
  double level[EVENRIM_EDGES + 1], variance[EVENRIM_EDGES + 1];
  double place[EVENRIM_EDGES], line[EVENRIM_EDGES], width[EVENRIM_EDGES], ramp, fade, inclined;
  double full, nearly_full, scatter_share, most_scatter;
  double a[EVENRIM_UNKNOWNS * EVENRIM_UNKNOWNS], b[EVENRIM_UNKNOWNS]; // lower triangle
  double sum_sq[EVENRIM_EDGES + 1], count[EVENRIM_EDGES + 1];
};

// What lies in each region between a model's curves.
struct evenrim_regions {
  double sum[EVENRIM_EDGES + 1], weight[EVENRIM_EDGES + 1], count[EVENRIM_EDGES + 1], full[EVENRIM_EDGES + 1];
};

void evenrim_columns_prepare(void);
// Returns how many pixels there are, which may be more than there is room for.
long evenrim_columns_gather(const void *pixels, const float *light, const float *shadow, const struct evenrim_arc *arc, double *columns, long room);
long evenrim_columns_choose(const struct evenrim_choice *choice, long gathered, double *columns, long room);
void evenrim_columns_regions(const struct evenrim_fit *f, const double *columns, long room, struct evenrim_regions *out);
void evenrim_columns_look(const struct evenrim_fit *f, double *columns, long room);
void evenrim_columns_equations(struct evenrim_fit *f, const double *columns, long room);

#endif
