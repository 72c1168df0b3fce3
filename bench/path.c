// The board's linear video path in C, by CVODE: jack, coupling, follower, gain of five, colour filter. Usage:
// path-peer TOLERANCE UNTIL INSTANTS WAVE CORNERS, all but the first two files of doubles (the first two of them may be
// "-"); the corners are pairs of an instant and the level of the video, V, straight in between. Prints JSON.
// Always: the march begins anew at every corner; where an amplifier would leave its straight part, which the picture must
// not make it do, the program ends.
#include "peer.h"
#include <math.h>

static const double line = 75, coupling = 10e-6, bias = 150e3, average = 76e-3, bandwidth = 50e6, gain = 200000,
                    slew = 1e9, rail = 5, reach = 1.5, times = 5, series = 1e3, shunt = 330e-12;

// The jack is half of what the camera sends, behind half of the line's resistance; the coupling capacitor sees that and
// two bias resistors side by side, between rails of which the mean is zero.
static double behind(void) { return line / 2; }
static double load(void) { return bias / 2; }
static double speed(void) { return 2 * M_PI * bandwidth; }

// Video on the present stretch: level and slope at its start.
typedef struct {
  double from, level, slope;
} Video;

enum { CAPACITOR, FOLLOWER, GAIN, FILTER, STATES };

static double coupled(const Video *u, double t, const double *x) {
  return (u->level + u->slope * (t - u->from) - x[CAPACITOR]) * load() / (load() + behind());
}

static double follower(double in, const double *x) { return speed() * (in - x[FOLLOWER] - x[FOLLOWER] / gain); }

static double stage(const double *x) { return speed() * (x[FOLLOWER] - x[GAIN] / times - x[GAIN] / gain); }

static int slope(double t, N_Vector state, N_Vector rate, void *video) {
  const double *x = N_VGetArrayPointer(state);
  double *d = N_VGetArrayPointer(rate);
  double in = coupled(video, t, x);
  d[CAPACITOR] = in / load() / coupling;
  d[FOLLOWER] = follower(in, x);
  d[GAIN] = stage(x);
  d[FILTER] = (x[FOLLOWER] - x[FILTER]) / (series * shunt);
  return 0;
}

static int jacobian(double t, N_Vector state, N_Vector rate, SUNMatrix j, void *video, N_Vector a, N_Vector b, N_Vector c) {
  (void)t, (void)state, (void)rate, (void)video, (void)a, (void)b, (void)c;
  double share = load() / (load() + behind());
  SM_ELEMENT_D(j, CAPACITOR, CAPACITOR) = -share / load() / coupling;
  SM_ELEMENT_D(j, FOLLOWER, CAPACITOR) = -speed() * share;
  SM_ELEMENT_D(j, FOLLOWER, FOLLOWER) = -speed() * (1 + 1 / gain);
  SM_ELEMENT_D(j, GAIN, FOLLOWER) = speed();
  SM_ELEMENT_D(j, GAIN, GAIN) = -speed() * (1 / times + 1 / gain);
  SM_ELEMENT_D(j, FILTER, FOLLOWER) = 1 / (series * shunt);
  SM_ELEMENT_D(j, FILTER, FILTER) = -1 / (series * shunt);
  return 0;
}

// How far the amplifiers are from slewing, upwards and downwards, and from their rails.
static int guards(double t, N_Vector state, realtype *g, void *video) {
  const double *x = N_VGetArrayPointer(state);
  double rates[] = {follower(coupled(video, t, x), x), stage(x)};
  for (int i = 0; i < 2; i++) {
    g[4 * i] = slew - rates[i];
    g[4 * i + 1] = slew + rates[i];
    g[4 * i + 2] = rail - reach - x[FOLLOWER + i];
    g[4 * i + 3] = rail - reach + x[FOLLOWER + i];
  }
  return 0;
}

int main(int argc, char **argv) {
  if (argc != 6) fail("usage: path-peer TOLERANCE UNTIL INSTANTS WAVE CORNERS");
  double tolerance = atof(argv[1]), until = atof(argv[2]);
  Wanted w = wanted(argv[3], argv[4]);
  long count;
  double *corner = doubles(argv[5], &count);
  if (count < 4) fail("there are no corners");
  // The steady state at time zero of everything but the coupling capacitor.
  double start[STATES] = {average};
  Video u = {corner[0], corner[1], 0};
  start[FOLLOWER] = coupled(&u, corner[0], start) / (1 + 1 / gain);
  start[GAIN] = start[FOLLOWER] / (1 / times + 1 / gain);
  start[FILTER] = start[FOLLOWER];
  double swings[STATES] = {1, 1, times, 1};
  March m = march_begin(STATES, start, tolerance, swings, slope, jacobian, guards, 8, &u);
  long steps = 0, taken;
  double t = 0, begun = now();
  for (long i = 0; t < until && i + 3 < count; i += 2) {
    double to = corner[i + 2];
    u.from = corner[i];
    u.level = corner[i + 1];
    u.slope = (corner[i + 3] - u.level) / (to - u.from);
    double stop = to < until ? to : until;
    if (i > 0) CVodeReInit(m.cvode, t, m.state);
    CVodeSetStopTime(m.cvode, stop);
    while (t < stop) {
      int what = CVode(m.cvode, wanted_before(&w, stop), m.state, &t, CV_NORMAL);
      if (what < 0) fail("CVODE cannot go on");
      if (what == CV_ROOT_RETURN) fail("an amplifier leaves its straight part");
      if (w.next < w.count && t == w.at[w.next]) {
        double seen[] = {m.x[FOLLOWER], m.x[GAIN], m.x[FILTER]};
        write_values(&w, seen, 3);
      }
    }
    CVodeGetNumSteps(m.cvode, &taken);
    steps += taken;
  }
  tell(now() - begun, steps);
  return 0;
}
