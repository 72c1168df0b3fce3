// Averages and totals of a window: mean, rms, mean power, charge and energy.
// Areas are those of the curve itself: the sampled curve is read once more in the middle of each arc, which turns its cubic into
// a quartic (where no more is known, the end-corrected trapezoidal rule or, without slopes, the trapezoidal rule). Sums are
// compensated, so a million samples add no noticeable rounding. The charge into a capacitor is what it holds more afterwards.
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";
import { byParts, coveredSpan, type Measure, type Recurring, type Window, walk } from "./window.js";

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
    // Of what is infinite no rounding is left.
    return Number.isFinite(this.high) ? this.high + this.low : this.high;
  }
}

/** The contribution of an arc between two of its shares; `off` is the error of its middle. */
type Share = (arc: Arc, s0: number, s1: number, off: number) => number;

function total(w: Window, part: Share): number {
  const s = coveredSpan(w);
  if (!s) return Number.NaN;
  const sum = new ArcSum(w.trace, part);
  walk(w.trace, s.from, s.to, (arc, s0, s1) => sum.add(arc, s0, s1));
  return sum.total;
}

/** The most times an arc is halved. */
const mostHalvings = 8;
/**
 * An arc is halved where the error of its slope in the middle exceeds this share of the error of its value: a quartic does not
 * fit.
 */
const lopsided = 0.3;
/** An error below this share of the larger end is ignored. */
const slight = 1e-12;
/** Both ends of an arc and its middle are instants rounded to doubles, by half a unit of the last place each. */
const ofClock = 4;

class ArcSum {
  private readonly sum = new CompensatedSum();

  constructor(
    private readonly trace: Trace,
    private readonly part: Share,
  ) {}

  get total(): number {
    return this.sum.total;
  }

  /** Sums an arc between two of its shares, halved where the sampled curve is no quartic. */
  add(arc: Arc, s0: number, s1: number, depth = 0): void {
    const point = this.trace.sampled(arc, arc.start + arc.length / 2);
    const off = point ? point.value - arc.value(0.5) : 0;
    if (!point || !Number.isFinite(off)) {
      this.sum.add(this.part(arc, s0, s1, 0));
      return;
    }
    const { value, slope } = point;
    const turned = Math.abs(slope - arc.slope(0.5)) * arc.length;
    // An edge late in a run rises by less within the rounding of the clock than it seems to be off.
    const rounding = ofClock * Number.EPSILON * Math.abs(arc.start * slope);
    const seen =
      Math.max(Math.abs(off), turned) > slight * Math.max(Math.abs(arc.first), Math.abs(arc.last)) + rounding;
    if (depth >= mostHalvings || !seen || turned <= lopsided * Math.abs(off)) {
      this.sum.add(this.part(arc, s0, s1, off));
      return;
    }
    const half = new Arc();
    half.length = arc.length / 2;
    half.start = arc.start;
    if (s0 < 0.5) {
      half.through(arc.first, arc.slope(0), value, slope);
      this.add(half, 2 * s0, Math.min(1, 2 * s1), depth + 1);
    }
    half.start = arc.start + half.length;
    if (s1 > 0.5) {
      half.through(value, slope, arc.last, arc.slope(1));
      this.add(half, Math.max(0, 2 * s0 - 1), 2 * s1 - 1, depth + 1);
    }
  }
}

/** How far, at a share, the quartic that touches the cubic at both ends and is off it by `off` in the middle is off it. */
const quartic = (off: number, s: number) => 16 * off * s * s * (1 - s) * (1 - s);
/** The integral of s² (1 - s)² from 0 on. */
const lens = (s: number) => s * s * s * (1 / 3 - s / 2 + (s * s) / 5);
const quarticArea: Share = (arc, s0, s1, off) =>
  arc.area(s0, s1) + 16 * off * arc.length * (lens(s1) - lens(s0));

/** Integral over time. */
export function integral(w: Window): number {
  const s = coveredSpan(w);
  const known = s ? w.trace.knownArea(s.from, s.to) : Number.NaN;
  if (Number.isFinite(known)) return known;
  const sudden = s ? w.trace.struck(s.from, s.to).reduce((sum, { size }) => sum + size, 0) : 0;
  return total(w, quarticArea) + sudden;
}

// Gauss-Legendre rule with four points, exact to degree seven (Abramowitz & Stegun, table 25.4): the square of
// a cubic has degree six, and what a quartic adds is small.
const nodes = [0.8611363115940526, 0.3399810435848563];
const weights = [0.34785484513745385, 0.6521451548625461];

/**
 * Integral of the square of an arc between two of its shares, in the unit squared times seconds; `off` is the error of its
 * middle.
 */
export function squareArea(arc: Arc, s0: number, s1: number, off = 0): number {
  const middle = (s0 + s1) / 2;
  const half = (s1 - s0) / 2;
  let sum = 0;
  for (let k = 0; k < 2; k++) {
    const [p, q] = [middle - half * nodes[k], middle + half * nodes[k]];
    const a = arc.value(p) + quartic(off, p);
    const b = arc.value(q) + quartic(off, q);
    sum += weights[k] * (a * a + b * b);
  }
  return sum * half * arc.length;
}

/** What parts of a span add up to. */
export function summed(parts: readonly Recurring[], of: (window: Window) => number): number {
  const sum = new CompensatedSum();
  for (const { window, times } of parts) sum.add(times * of(window));
  return sum.total;
}

/** The length of a window, s; NaN where the trace does not cover it. */
export function lengthOf(w: Window): number {
  const s = coveredSpan(w);
  return s ? s.to - s.from : Number.NaN;
}

// Over a span of no length the mean is the value there.
function average(
  parts: readonly Recurring[],
  area: (w: Window) => number,
  atOnce: (v: number) => number,
): number {
  const length = summed(parts, lengthOf);
  if (length !== 0) return summed(parts, area) / length;
  const [{ window }] = parts;
  const s = coveredSpan(window);
  return s ? atOnce(window.trace.at(s.from)) : Number.NaN;
}

const meanByParts = byParts((parts) => average(parts, integral, (v) => v));
const integralByParts = byParts((parts) => summed(parts, integral));

/** Mean over time. */
export const mean: Measure = {
  words: "mean",
  takes: "value",
  summary: "the mean over time",
  unit: same,
  ...meanByParts,
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
  ...byParts((parts) =>
    Math.sqrt(
      average(
        parts,
        (w) => (isStruck(w) ? Number.POSITIVE_INFINITY : total(w, squareArea)),
        (v) => v * v,
      ),
    ),
  ),
};

/** Mean power a part takes up. */
export const meanPower: Measure = {
  words: "mean power",
  takes: "power",
  summary: "the mean power a part takes up: what it must get rid of as heat, where it stores nothing",
  unit: same,
  ...meanByParts,
};

/** Charge through a part along its arrow. */
export const charge: Measure = {
  words: "charge",
  takes: "current",
  summary: "the charge that passes a part along its arrow",
  unit: () => "C",
  ...integralByParts,
};

/** Energy a part takes up. */
export const energy: Measure = {
  words: "energy",
  takes: "power",
  summary: "the energy a part takes up",
  unit: () => "J",
  ...integralByParts,
};
