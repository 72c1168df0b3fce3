// examples/line.ramp in C, by CVODE: one state, the ramp's voltage; the modes of its switch, its diode and its source as
// in the text. Usage: line-peer TOLERANCE UNTIL INSTANTS WAVE, the last two files of doubles or "-". Prints JSON.
// Always: the march stops and begins anew at every corner of the gate and at every change of a mode.
#include "peer.h"
#include <math.h>

static const double rail = 12, logic = 5, charge = 1e-3, headroom = 0.9, output = 2e6, hold = 15e-9, on = 5,
                    drop = 0.6, diode = 10, threshold = 2.5, high = 5, period = 64e-6, pulse = 4.7e-6;
// A straight edge covers 80 % of its height between its 10 % and 90 % points, which are 200 ns apart.
static const double half_edge = 125e-9;

typedef struct {
  int closed, conducting;
  // Gate on the present stretch: level and slope at its start.
  double from, level, slope;
} Circuit;

static double gate(const Circuit *c, double t) { return c->level + c->slope * (t - c->from); }

static double conductance(const Circuit *c) {
  return 1 / output + (c->closed ? 1 / on : 0) + (c->conducting ? 1 / diode : 0);
}

static int slope(double t, N_Vector state, N_Vector rate, void *data) {
  (void)t;
  const Circuit *c = data;
  double v = N_VGetArrayPointer(state)[0];
  double i = charge + (rail - headroom - v) / output;
  if (c->closed) i -= v / on;
  if (c->conducting) i -= (v - logic - drop) / diode;
  N_VGetArrayPointer(rate)[0] = i / hold;
  return 0;
}

static int jacobian(double t, N_Vector state, N_Vector rate, SUNMatrix j, void *data, N_Vector a, N_Vector b, N_Vector c) {
  (void)t, (void)state, (void)rate, (void)a, (void)b, (void)c;
  SM_ELEMENT_D(j, 0, 0) = -conductance(data) / hold;
  return 0;
}

static int guards(double t, N_Vector state, realtype *g, void *data) {
  const Circuit *c = data;
  double v = N_VGetArrayPointer(state)[0];
  g[0] = gate(c, t) - threshold;
  g[1] = v - logic - drop;
  g[2] = rail - v - headroom;
  return 0;
}

int main(int argc, char **argv) {
  if (argc != 5) fail("usage: line-peer TOLERANCE UNTIL INSTANTS WAVE");
  double tolerance = atof(argv[1]), until = atof(argv[2]);
  Wanted w = wanted(argv[3], argv[4]);
  Circuit c = {.closed = 1};
  double start[] = {(charge + (rail - headroom) / output) / conductance(&c)};
  double swings[] = {4};
  March m = march_begin(1, start, tolerance, swings, slope, jacobian, guards, 3, &c);
  // Corners of a period, beginning in the middle of the edge at time zero.
  const double corner[] = {half_edge, pulse - half_edge, pulse + half_edge, period - half_edge};
  const double level[] = {high, high, 0, 0};
  long lines = 0, steps = 0, taken;
  int next = 0;
  double t = 0, to = half_edge, to_level = high;
  c.level = threshold;
  c.slope = (high - threshold) / half_edge;
  double begun = now();
  while (t < until) {
    double stop = to < until ? to : until;
    double ask = wanted_before(&w, stop);
    CVodeSetStopTime(m.cvode, stop);
    int what = CVode(m.cvode, ask, m.state, &t, CV_NORMAL);
    if (what < 0) fail("CVODE cannot go on");
    if (w.next < w.count && t == w.at[w.next]) write_values(&w, m.x, 1);
    int anew = what == CV_ROOT_RETURN;
    if (anew) {
      int crossed[3];
      CVodeGetRootInfo(m.cvode, crossed);
      if (crossed[0]) c.closed = crossed[0] > 0;
      if (crossed[1]) c.conducting = crossed[1] > 0;
      if (crossed[2]) fail("the source runs out of headroom, which this circuit never asks of it");
    }
    if (t >= to) {
      anew = 1;
      c.from = to;
      c.level = to_level;
      if (++next == 4) next = 0, lines++;
      to = (double)lines * period + corner[next];
      to_level = level[next];
      c.slope = (to_level - c.level) / (to - c.from);
    }
    if (anew) {
      CVodeGetNumSteps(m.cvode, &taken);
      steps += taken;
      CVodeReInit(m.cvode, t, m.state);
    }
  }
  double seconds = now() - begun;
  CVodeGetNumSteps(m.cvode, &taken);
  tell(seconds, steps + taken);
  return 0;
}
