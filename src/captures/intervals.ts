// Intervals where the misses are not straight. A standard uncertainty takes the sum of squares for a parabola; where a sample
// stands at the foot of an edge, or a ramp just touches its guard, it is none, and the interval comes out too short. So the sum is
// looked at where each interval ends. If it is not what the parabola says, the others are fitted again with this value held there
// (the profile of the sum: D. M. Bates & D. G. Watts, Nonlinear Regression Analysis, 1988, section 6.1), and the end is moved out to
// where the sum tells it from the best. A lower sum met on the way becomes the best.
import type { Estimate, EstimatedValue } from "./estimate.js";
import {
  type FitSubject,
  fitted,
  leastDeviationOf,
  likeness,
  missesOf,
  type PlacedCapture,
  type WeighedFit,
} from "./fitting.js";
import { unknownsOf } from "./scatter.js";
import { coverageFactor } from "./student.js";

/** The sum at an end may differ from the parabola's by these factors. */
const [least, most] = [0.6, 2];
/** An end is moved out at most this often, each time by at most this factor. */
const [moves, farthest] = [2, 3];
/** A lower sum is followed at most this often. */
const follows = 3;

/** A fit whose intervals have been looked at. */
export interface Sounded {
  readonly found: WeighedFit;
  readonly values: readonly EstimatedValue[];
}

/** How much more the sum of squares is at the end of an interval of 95 %. */
export function worthTelling({ estimate, weights }: WeighedFit, placed: readonly PlacedCapture[]): number {
  const deviation = Math.max(estimate.deviation, leastDeviationOf(placed, weights));
  return (coverageFactor(estimate.freedom) * deviation) ** 2;
}

/** Looks at the end of each value's interval, and moves those out that are too near. */
export function sounded(subject: FitSubject, placed: readonly PlacedCapture[], first: WeighedFit): Sounded {
  let found = first;
  for (let follow = 0; ; follow++) {
    const ends = subject.values.map((_, i) => endsOf(subject, placed, found, i));
    const lower = ends
      .flatMap(({ lower }) => (lower ? [lower] : []))
      .sort((a, b) => a.estimate.sum - b.estimate.sum)[0];
    if (!lower || follow >= follows) {
      const factor = coverageFactor(found.estimate.freedom);
      const values = found.estimate.values.map((one, i): EstimatedValue => {
        const moved = ends[i]?.moved;
        if (!moved) return one;
        const half = Math.max(...moved);
        return {
          ...one,
          uncertainty: Math.max(one.uncertainty, half / factor),
          interval: { low: one.value - moved[0], high: one.value + moved[1] },
        };
      });
      return { found, values };
    }
    found = lower;
  }
}

/** How far an interval reaches to either side, if it is not what the parabola says; and a better fit, if one was met. */
interface Ends {
  readonly moved?: readonly [number, number];
  readonly lower?: WeighedFit;
}

function endsOf(subject: FitSubject, placed: readonly PlacedCapture[], found: WeighedFit, i: number): Ends {
  const { estimate } = found;
  const { value, interval } = estimate.values[i];
  const half = interval.high - value;
  // Where next to nothing is known of a value there is nothing to look at.
  if (!(half > 0 && half < Math.abs(value))) return {};
  const few = likeness(placed, found);
  const misses = missesOf(subject, few.placed, few.weights);
  const expected = worthTelling(found, placed);
  const { low, high } = subject.values[i];
  const reach: [number, number] = [half, half];
  for (const [side, sign] of [-1, 1].entries()) {
    const at = (by: number) => Math.min(Math.max(value + sign * by, low), high);
    const start = (by: number) => followed(subject, estimate, i, at(by));
    const rise = sumOf(misses(start(half))) - few.sum;
    if (at(half) !== value + sign * half || (rise >= least * expected && rise <= most * expected)) continue;
    for (let move = 0; move < moves; move++) {
      const by = reach[side];
      const again = { ...few.weights, start: start(by), fixed: new Map([[i, at(by)]]), roughly: true };
      const next = fitted(subject, few.placed, again);
      const more = next.estimate.sum - few.sum;
      if (more < -0.01 * expected) {
        const freed = fitted(subject, placed, { ...found, start: unknownsOf(next) });
        if (freed.estimate.sum < estimate.sum) return { lower: freed };
      }
      if (more >= 0.9 * expected || at(by) !== value + sign * by) break;
      reach[side] =
        by * Math.min(farthest, Math.max(1.1, Math.sqrt(expected / Math.max(more, expected / 9))));
    }
  }
  return reach.some((by) => by > half) ? { moved: reach } : {};
}

/**
 * All unknowns where one is moved and the others follow, as they are correlated: values and gains in shares, since circuits act by
 * products and quotients. Moved by sums, what three values hold together would be left on the way.
 */
function followed({ values }: FitSubject, { values: best, correlation }: Estimate, i: number, to: number) {
  const { value, uncertainty } = best[i];
  const share = to / value;
  return best.map((one, k) => {
    if (k === i) return to;
    const slope = (correlation[i][k] * one.uncertainty) / uncertainty || 0;
    // Beyond zero there are no shares.
    if (k >= values.length || one.value === 0 || !(share > 0)) return one.value + slope * (to - value);
    return one.value * share ** ((slope * value) / one.value);
  });
}

function sumOf(misses: Float64Array): number {
  const sum = misses.reduce((all, miss) => all + miss * miss, 0);
  return Number.isNaN(sum) ? Number.POSITIVE_INFINITY : sum;
}
