#ifndef EVENRIM_RINGCOST_H
#define EVENRIM_RINGCOST_H

enum { EVENRIM_SECTORS = 64 };

// A ring's running sums along each sector, less the sums themselves.
struct evenrim_ring {
  int samples, rays;       // along a sector; samples behind each entry
  double x, y, nearest;    // centre; distance of the first sample
  double cosine[EVENRIM_SECTORS], sine[EVENRIM_SECTORS];
  double guard, least_slope, least_bend, least_variance, share, gain;
};

// Of all functions: one sector in every is looked at, and arrays hold those only.
// Wall and backing have a shade each: 1 a straight line, 2 a parabola.

// Sets where a circle crosses the sectors.
void evenrim_ring_cross(const struct evenrim_ring *r, int every, const double circle[3], double *at);
// What face and chamfer cost, and wall and backing.
double evenrim_ring_face(const struct evenrim_ring *r, int every, const double *sums, const float *edge, const double *bore, const double *outer);
double evenrim_ring_inside(const struct evenrim_ring *r, int every, int wall, int backing, const double *sums, const float *edge, const double *bore, const double *exit);

#endif
