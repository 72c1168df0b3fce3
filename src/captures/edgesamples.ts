// How likely the samples of a capture are if each was taken at an instant off by a normal error. Few samples tell of the instants: those
// on edges, where the curve moves by more than the scatter of a level within such an error, or bends. What such a sample shows is
// as likely as the pieces of the curve around it make it, each by the chance that it was taken there, blurred by the scatter on a
// level. A normal distribution with the curve's mean and variance is not enough: on the foot of an edge it takes a sixth off the
// deviation of the instants. All other samples are normal about a curve that is straight in all unknowns.
import { firstFrom } from "../base/search.js";
import { triangleOf } from "../sizing/leastsquares.js";
import type { PlacedCapture } from "./fitting.js";
import type { NearCurves } from "./nearruns.js";

/** Errors of an instant that are thought of, to either side, in its deviations. */
const farthest = 5;
/** The curve is known so far around a sample, in the samples' distance. */
const leastReach = 0.3;
/** Pieces of the curve within one deviation, and the most samples on edges that count. */
const [pieces, mostTelling] = [6, 4096];
/** Beyond so many deviations on a level a piece of the curve does not show. */
const far = 6;
/** How likely a bad sample is, wherever it is, against a good one where it should be. */
const bad = Math.exp(-12.5);
/** A curve bends if it leaves a straight line by this share of the scatter on a level. */
const bend = 0.1;

/** What is unknown of a capture: changes of the values, and of its instrument. */
export interface Unknowns {
  readonly values: readonly number[];
  /** s. */
  readonly delay: number;
  readonly gain: number;
  readonly offset: number;
  /** Deviations of a sample on a level, and of an instant, s. */
  readonly level: number;
  readonly deviation: number;
}

/** Of the samples that are on no edge. */
interface Others {
  readonly count: number;
  /** Of their slopes by values, delay, gain and offset, and of what is left. */
  readonly triangle: readonly (readonly number[])[];
  /** By how much their errors in time lower the logarithm of the likelihood. */
  readonly less: number;
}

/** Samples on edges, and the curve around them on the run's clock. */
interface Edges {
  readonly time: Float64Array;
  readonly value: Float64Array;
  readonly at: Float64Array;
  readonly middle: Float64Array;
  readonly moved: readonly Float64Array[];
}

/** The samples of a capture near where a fit has laid them. */
export class TellingSamples {
  readonly edges: Edges;
  readonly others: Others;

  constructor(
    one: PlacedCapture,
    near: NearCurves,
    private readonly first: Unknowns,
    corners: Float64Array,
  ) {
    const { delay, gain, offset, level, deviation } = first;
    const shown = (by: number) => near.middle(one.time, delay + by).map((v) => gain * v + offset);
    const [middle, before, after] = [0, -1, 1].map((sign) => shown(sign * deviation));
    const [low, high] = [-1, 1].map((sign) => shown(sign * farthest * deviation));
    const [edge, flat]: [number[], number[]] = [[], []];
    middle.forEach((v, k) => {
      const steep = Math.abs(after[k] - before[k]) / 2 > level;
      const bent = [low[k] + high[k], before[k] + after[k]].some(
        (sum) => Math.abs(sum / 2 - v) > bend * level,
      );
      (steep || bent ? edge : flat).push(k);
    });
    const each = Math.max(1, edge.length / mostTelling);
    const kept = Array.from({ length: Math.floor(edge.length / each) }, (_, k) => edge[Math.floor(k * each)]);
    this.edges = this.around(one, near, kept, corners);
    const moved = near.moved.map((curve) => curve(one.time, delay));
    const slope = after.map((v, k) => (v - before[k]) / (2 * deviation));
    const columns = [
      ...moved.map((of) => of.map((v) => gain * v)),
      slope,
      middle.map((v) => (v - offset) / gain),
      middle.map(() => 1),
      middle.map((v, k) => v - one.value[k]),
    ];
    const steady = flat.map((k) => Math.hypot(1, (slope[k] * deviation) / level));
    const rows = columns.map((of) => {
      const column = new Float64Array(Math.max(flat.length, columns.length));
      flat.forEach((k, row) => {
        column[row] = of[k] / steady[row];
      });
      return column;
    });
    this.others = {
      count: flat.length,
      triangle: triangleOf(rows).to2DArray(),
      less: steady.reduce((sum, v) => sum + Math.log(v), 0),
    };
  }

  private around(one: PlacedCapture, near: NearCurves, kept: number[], corners: Float64Array): Edges {
    const { delay, deviation } = this.first;
    const [time, value] = [one.time, one.value].map((of) => Float64Array.from(kept, (k) => of[k]));
    const apart = (one.time[one.time.length - 1] - one.time[0]) / (one.time.length - 1);
    const reach = Math.max(2 * farthest * deviation, leastReach * apart);
    const at: number[] = [];
    let corner = 0;
    for (const t of time) {
      const [from, to] = [t + delay - reach, t + delay + reach];
      for (let next = Math.max(from, (at.at(-1) ?? from) + deviation / pieces); next <= to; ) {
        while (corners[corner] <= (at.at(-1) ?? from)) corner++;
        // Corners of the curve are kept, between which it is about straight.
        if (corners[corner] < next) at.push(corners[corner++]);
        else {
          at.push(next);
          next += deviation / pieces;
        }
      }
    }
    const instants = Float64Array.from(at);
    const [middle, ...moved] = [near.middle, ...near.moved].map((curve) => curve(instants, 0));
    return { time, value, at: instants, middle, moved };
  }

  /** The natural logarithm of the likelihood of each sample on an edge, and of all others together. */
  logs(now: Unknowns): Float64Array {
    const { time, value, at, middle, moved } = this.edges;
    const { delay, gain, offset, level, deviation } = now;
    const curve = Float64Array.from(middle);
    for (let n = 0; n < curve.length; n++) curve[n] = gain * curve[n] + offset;
    moved.forEach((of, i) => {
      const by = gain * now.values[i];
      if (by !== 0) for (let n = 0; n < curve.length; n++) curve[n] += by * of[n];
    });
    const found = new Float64Array(time.length + 1);
    let from = 0;
    for (let k = 0; k < time.length; k++) {
      const t = time[k] + delay;
      while (at[from + 1] < t - farthest * deviation) from++;
      found[k] = Math.log(densityOf(curve, at, from, { t, v: value[k], level, deviation })) - Math.log(level);
    }
    found[time.length] = this.rest(now);
    return found;
  }

  /** How many samples on edges scatter by their errors in time, each by its share. */
  telling({ delay, gain, level, deviation }: Unknowns): number {
    const { time, at, middle } = this.edges;
    const near = (t: number) => middle[Math.min(firstFrom(at, t), at.length - 1)];
    return time.reduce((sum, t) => {
      const moved = (gain * (near(t + delay + deviation) - near(t + delay - deviation))) / (2 * level);
      return sum + (moved ** 2 / (1 + moved ** 2)) ** 2;
    }, 0);
  }

  /** The other samples. */
  private rest({ values, delay, gain, offset, level }: Unknowns): number {
    const { count, triangle, less } = this.others;
    const { first } = this;
    const step = [...values, delay - first.delay, gain - first.gain, offset - first.offset, 1];
    const sum = triangle.reduce((all, row) => all + row.reduce((of, v, i) => of + v * step[i], 0) ** 2, 0);
    return -sum / level ** 2 / 2 - count * Math.log(level) - less;
  }
}

/** A sample: its instant, what it shows, and the deviations of both. */
interface Sample {
  readonly t: number;
  readonly v: number;
  readonly level: number;
  readonly deviation: number;
}

/** How likely a sample is, as a share of the peak of the scatter on a level. */
function densityOf(curve: Float64Array, at: Float64Array, from: number, { t, v, level, deviation }: Sample) {
  let sum = bad;
  let there = (curve[from] - v) / level;
  // The chance of an instant before the piece, where that is known from the one before it.
  let chance = Number.NaN;
  for (let n = from + 1; n < at.length && at[n - 1] < t + farthest * deviation; n++) {
    const next = (curve[n] - v) / level;
    if ((there < far || next < far) && (there > -far || next > -far)) {
      const more = below((at[n] - t) / deviation);
      if (Number.isNaN(chance)) chance = below((at[n - 1] - t) / deviation);
      sum += (more - chance) * meanDensity(there, next);
      chance = more;
    } else chance = Number.NaN;
    there = next;
  }
  return sum;
}

/** The density of a normal variable on the average from one value to another, as a share of its peak. */
function meanDensity(a: number, b: number): number {
  const apart = Math.abs(b - a);
  if (apart < 0.1) return Math.exp(-(((a + b) / 2) ** 2) / 2);
  return (Math.sqrt(2 * Math.PI) * Math.abs(below(b) - below(a))) / apart;
}

/** The share of a normal distribution below a value, to 1e-7 (M. Abramowitz & I. A. Stegun, 26.2.17): quick, where many are needed. */
function below(x: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(x));
  const series =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const above = (Math.exp(-(x * x) / 2) / Math.sqrt(2 * Math.PI)) * series;
  return x < 0 ? above : 1 - above;
}
