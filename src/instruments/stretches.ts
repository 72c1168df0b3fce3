// A capture that drives a place: its samples as straight stretches, and its instants as exact numbers. A stretch begins and ends
// at samples, and passes every sample between them within the tolerance.
import { type Fraction, ratio } from "../base/fraction.js";
import { asWritten } from "../base/quantity.js";

/**
 * Indices of the samples that are corners of straight stretches, the first and the last included. From a corner, the lines that
 * pass all samples so far within the tolerance form a cone; the farthest sample inside the cone is the next corner
 * (J. Sklansky & V. Gonzalez, Fast polygonal approximation of digitized curves, Pattern Recognition 12 (1980) 327).
 * @param time s, rising
 * @param tolerance in the unit of the values, not negative
 */
export function straightCorners(time: Float64Array, value: Float64Array, tolerance: number): Uint32Array {
  const corners = new Uint32Array(time.length);
  let count = 0;
  for (let from = 0; from < time.length; ) {
    corners[count++] = from;
    from = farthest(time, value, tolerance, from);
  }
  return corners.slice(0, count);
}

/** The search for the next corner stops after this many samples outside the cone. */
const patience = 4096;

function farthest(time: Float64Array, value: Float64Array, tolerance: number, from: number): number {
  let [least, most] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  let reached = from + 1;
  for (let k = from + 1; k < time.length && k - reached < patience; k++) {
    const run = time[k] - time[from];
    const rise = value[k] - value[from];
    const slope = rise / run;
    if (slope >= least && slope <= most) reached = k;
    least = Math.max(least, (rise - tolerance) / run);
    most = Math.min(most, (rise + tolerance) / run);
    if (least > most) break;
  }
  return reached;
}

/** A sample may move by this share of the usual distance between samples, so that the tick stays coarse. */
const play = 1e-3;

/**
 * Exact instants of samples: whole multiples of their distance if they are evenly spaced, else of a decimal far below it.
 * @param time s, rising
 * @param kept indices of the samples that are wanted
 */
export function exactInstants(time: Float64Array, kept: Uint32Array): Fraction[] {
  const last = time.length - 1;
  const step = (time[last] - time[0]) / last;
  const begin = shortest(time[0], play * step);
  const even = time.every((t, i) => Math.abs(t - time[0] - i * step) <= play * step);
  const distance = even ? shortest(step, (play * step) / last) : undefined;
  if (distance) return Array.from(kept, (i) => begin.add(distance.mul(i)));
  const [, exponent] = step.toExponential().split("e");
  // Below a thousandth of the usual distance, since uneven samples may be close together.
  const grid = asWritten(Number(`1e${Number(exponent) - 4}`));
  const size = Number(`1e${Number(exponent) - 4}`);
  return Array.from(kept, (i) => grid.mul(ratio(Math.round(time[i] / size))));
}

/** The decimal with the fewest figures that lies within `near` of a number. */
function shortest(x: number, near: number): Fraction {
  for (let figures = 1; figures < 17; figures++) {
    const short = Number(x.toPrecision(figures));
    if (Math.abs(short - x) <= near) return asWritten(short);
  }
  return asWritten(x);
}
