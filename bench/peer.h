// What the peers in C share: setting CVODE up, taking time, reading instants and writing waveforms.
#ifndef PEER_H
#define PEER_H
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <stdio.h>
#include <stdlib.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

// One march: `count` states, backward differentiation of variable order and step, dense Newton with the Jacobian given.
typedef struct {
  SUNContext context;
  void *cvode;
  N_Vector state;
  double *x;
} March;

March march_begin(int count, const double *start, double tolerance, const double *swings, CVRhsFn slope,
                  CVLsJacFn jacobian, CVRootFn guards, int guard_count, void *circuit);
// Seconds of a steady clock.
double now(void);
// A file of doubles, whole; ends the program where there is none. "-" is an empty one.
double *doubles(const char *path, long *count);
// Ends the program with a reason.
void fail(const char *reason);

// Where waveforms are asked for: the instants, and the file that takes the values.
typedef struct {
  double *at;
  long count, next;
  FILE *out;
} Wanted;

Wanted wanted(const char *instants, const char *out);
// The next instant that is asked for, or `otherwise` where that comes first.
double wanted_before(const Wanted *w, double otherwise);
void write_values(Wanted *w, const double *values, int count);
// What the program prints: wall time of the march and CVODE's steps, as JSON.
void tell(double seconds, long steps);
#endif
