// See peer.h.
#include "peer.h"
#include <string.h>
#include <time.h>

void fail(const char *reason) {
  fprintf(stderr, "%s\n", reason);
  exit(3);
}

March march_begin(int count, const double *start, double tolerance, const double *swings, CVRhsFn slope,
                  CVLsJacFn jacobian, CVRootFn guards, int guard_count, void *circuit) {
  March m;
  if (SUNContext_Create(NULL, &m.context)) fail("no context");
  m.state = N_VNew_Serial(count, m.context);
  m.x = N_VGetArrayPointer(m.state);
  memcpy(m.x, start, count * sizeof *start);
  N_Vector small = N_VNew_Serial(count, m.context);
  for (int i = 0; i < count; i++) N_VGetArrayPointer(small)[i] = tolerance * swings[i];
  SUNMatrix matrix = SUNDenseMatrix(count, count, m.context);
  SUNLinearSolver solver = SUNLinSol_Dense(m.state, matrix, m.context);
  m.cvode = CVodeCreate(CV_BDF, m.context);
  if (CVodeInit(m.cvode, slope, 0, m.state) || CVodeSVtolerances(m.cvode, tolerance, small) ||
      CVodeSetUserData(m.cvode, circuit) || CVodeSetLinearSolver(m.cvode, solver, matrix) ||
      CVodeSetJacFn(m.cvode, jacobian) || CVodeRootInit(m.cvode, guard_count, guards) ||
      CVodeSetMaxNumSteps(m.cvode, 1000000) || CVodeSetNoInactiveRootWarn(m.cvode))
    fail("CVODE does not begin");
  // A tolerance that cannot be met is the caller's to find out; it needs no page of warnings.
  CVodeSetErrFile(m.cvode, NULL);
  return m;
}

double now(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

double *doubles(const char *path, long *count) {
  *count = 0;
  if (!strcmp(path, "-")) return NULL;
  FILE *in = fopen(path, "rb");
  if (!in) fail("a file is missing");
  fseek(in, 0, SEEK_END);
  *count = ftell(in) / (long)sizeof(double);
  rewind(in);
  double *all = malloc((*count + 1) * sizeof *all);
  if (!all || fread(all, sizeof *all, *count, in) != (size_t)*count) fail("a file cannot be read");
  fclose(in);
  return all;
}

Wanted wanted(const char *instants, const char *out) {
  Wanted w = {0};
  w.at = doubles(instants, &w.count);
  if (w.count > 0 && !(w.out = fopen(out, "wb"))) fail("the waveform cannot be written");
  return w;
}

double wanted_before(const Wanted *w, double otherwise) {
  return w->next < w->count && w->at[w->next] < otherwise ? w->at[w->next] : otherwise;
}

void write_values(Wanted *w, const double *values, int count) {
  fwrite(values, sizeof *values, count, w->out);
  w->next++;
  if (w->next == w->count) fclose(w->out);
}

void tell(double seconds, long steps) { printf("{\"seconds\": %.9f, \"steps\": %ld}\n", seconds, steps); }
