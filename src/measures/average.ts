// Averages and totals of a window: mean, rms, mean power, charge and energy.
// Takes a window; gives the integral of the trace's curve over time, or a mean drawn from it. Always: areas are
// those of the curve itself (the end-corrected trapezoidal rule where slopes are known and trusted, the
// trapezoidal rule elsewhere), and sums are compensated, so that a million samples add no rounding of note.
import type { Arc } from "../waveforms/arc.js";
import { coveredSpan, type Measure, type Visit, type Window, walk } from "./window.js";

const same = (of: string) => of;

/** Sums in two doubles (Neumaier, Z. angew. Math. Mech. 54, 1974). */
export class CompensatedSum {
  private high = 0;
  private low = 0;

  add(x: number): void {
    const s = this.high + x;
    this.low += Math.abs(this.high) >= Math.abs(x) ? this.high - s + x : x - s + this.high;
    this.high = s;
  }

  get total(): number {
    return this.high + this.low;
  }
}

function total(w: Window, part: (arc: Arc, s0: number, s1: number) => number): number {
  const s = coveredSpan(w);
  if (!s) return Number.NaN;
  const sum = new CompensatedSum();
  const visit: Visit = (arc, s0, s1) => sum.add(part(arc, s0, s1));
  walk(w.trace, s.from, s.to, visit);
  return sum.total;
}

/** Integral over time. */
export function integral(w: Window): number {
  const s = coveredSpan(w);
  const sudden = s ? w.trace.struck(s.from, s.to).reduce((sum, { size }) => sum + size, 0) : 0;
  return total(w, (arc, s0, s1) => arc.area(s0, s1)) + sudden;
}

// Gauss-Legendre rule with four points, exact to degree seven (Abramowitz & Stegun, table 25.4): the square of
// a cubic has degree six.
const nodes = [0.8611363115940526, 0.3399810435848563];
const weights = [0.34785484513745385, 0.6521451548625461];

/** Integral of the square of an arc between two shares of it, in the unit squared times seconds. */
export function squareArea(arc: Arc, s0: number, s1: number): number {
  const middle = (s0 + s1) / 2;
  const half = (s1 - s0) / 2;
  let sum = 0;
  for (let k = 0; k < 2; k++) {
    const a = arc.value(middle - half * nodes[k]);
    const b = arc.value(middle + half * nodes[k]);
    sum += weights[k] * (a * a + b * b);
  }
  return sum * half * arc.length;
}

// A window of no length has no mean but the value there.
function over(w: Window, area: (w: Window) => number, atOnce: (v: number) => number): number {
  const s = coveredSpan(w);
  if (!s) return Number.NaN;
  return s.from === s.to ? atOnce(w.trace.at(s.from)) : area(w) / (s.to - s.from);
}

const meanOf = (w: Window) => over(w, integral, (v) => v);

/** Mean over time. */
export const mean: Measure = {
  words: "mean",
  takes: "value",
  summary: "the mean over time",
  unit: same,
  take: meanOf,
};

const isStruck = (w: Window) => {
  const s = coveredSpan(w);
  return s !== undefined && w.trace.struck(s.from, s.to).length > 0;
};

/** Root of the mean square over time. */
export const rms: Measure = {
  words: "rms",
  takes: "value",
  summary: "the root of the mean square over time",
  unit: same,
  take: (w) =>
    Math.sqrt(
      over(
        w,
        (v) => (isStruck(v) ? Number.POSITIVE_INFINITY : total(v, squareArea)),
        (v) => v * v,
      ),
    ),
};

/** Mean power a part takes up. */
export const meanPower: Measure = {
  words: "mean power",
  takes: "power",
  summary: "the mean power a part takes up: what it must get rid of as heat, where it stores nothing",
  unit: same,
  take: meanOf,
};

/** Charge through a part along its arrow. */
export const charge: Measure = {
  words: "charge",
  takes: "current",
  summary: "the charge that passes a part along its arrow",
  unit: () => "C",
  take: integral,
};

/** Energy a part takes up. */
export const energy: Measure = {
  words: "energy",
  takes: "power",
  summary: "the energy a part takes up",
  unit: () => "J",
  take: integral,
};
