// Where a curve jumps between two samples, the sum of squares is no parabola in the delay: it bends where a sample gets onto an
// edge, and several delays are about as good. So all of them are looked at. A delay costs no run, and near the best fit the curves
// are taken to be straight in the values: at each delay the others are fitted, and what is as good as the end of an interval of
// 95 % belongs to the intervals (the profile of the sum, as in `intervals.ts`). At a delay with a lower sum a fit starts anew.
import type { EstimatedValue } from "./estimate.js";
import {
  type FitSubject,
  fitted,
  leastDeviationOf,
  likeness,
  type PlacedCapture,
  type WeighedFit,
} from "./fitting.js";
import { type Sounded, sounded, worthTelling } from "./intervals.js";
import { NearRuns } from "./nearruns.js";
import { unknownsOf } from "./scatter.js";
import { jumps, spanned } from "./starts.js";
import { coverageFactor } from "./student.js";

/** Delays up to this share of the samples' distance to either side, in so many steps. */
const [reach, steps] = [0.5, 32];
/** Beyond a delay that is so many times worse than the end of an interval no other is looked at. */
const hopeless = 25;
/** No other is looked at either where the parabola is so many times steeper than that at the first step. */
const clear = 4;
/** A lower sum is followed at most this often. */
const follows = 2;
/** Looks where the intervals end, by the values and by the delays. */
export function delayed(subject: FitSubject, placed: readonly PlacedCapture[], first: WeighedFit): Sounded {
  let best = sounded(subject, placed, first);
  for (let follow = 0; ; follow++) {
    const { lower, values } = overDelays(subject, placed, best);
    if (!lower || follow >= follows) return { ...best, values };
    const freed = fitted(subject, placed, { ...best.found, start: lower });
    if (!(freed.estimate.sum < best.found.estimate.sum)) return { ...best, values };
    best = sounded(subject, placed, freed);
  }
}

/** The intervals over all delays about as good; and the unknowns at one that is better. */
function overDelays(
  subject: FitSubject,
  placed: readonly PlacedCapture[],
  { found, values }: Sounded,
): { readonly lower?: readonly number[]; readonly values: readonly EstimatedValue[] } {
  const x = unknownsOf(found);
  const few = likeness(placed, found);
  const worth = worthTelling(found, placed);
  const least = leastDeviationOf(placed, found.weights);
  const factor = coverageFactor(found.estimate.freedom);
  let near: NearRuns | undefined;
  let lower: { readonly sum: number; readonly start: readonly number[] } | undefined;
  let wider = values;
  placed.forEach((one, k) => {
    const trace = subject.runs.at(x.slice(0, subject.values.length))![k];
    if (!jumps(one, trace, x)) return;
    const { at, time, play } = one;
    const each = (reach * (time[time.length - 1] - time[0])) / (time.length - 1) / steps;
    const { uncertainty } = found.estimate.values[at];
    if ((each / uncertainty / factor) ** 2 > clear * hopeless) return;
    near ??= new NearRuns(subject.runs, x.slice(0, subject.values.length));
    for (const sign of [-1, 1])
      for (let step = 1; step <= steps; step++) {
        const delay = x[at] + sign * step * each;
        if (Math.abs(delay) > play) break;
        const held = {
          ...few.weights,
          start: x.map((v, i) => (i === at ? delay : v)),
          fixed: new Map([[at, delay]]),
          roughly: true,
        };
        const { estimate } = fitted({ ...subject, near }, few.placed, held);
        const more = (estimate.sum - few.sum) / worth;
        if (more > hopeless) break;
        if (more < -0.01 && !(lower && lower.sum <= estimate.sum))
          lower = { sum: estimate.sum, start: estimate.values.map((v) => v.value) };
        if (more >= 1) continue;
        // What is left of the interval where the delay has taken its share.
        const half = Math.sqrt(worth * (1 - Math.max(more, 0))) / Math.max(estimate.deviation, least);
        wider = wider.map((value, i) => {
          const { value: there, uncertainty } = estimate.values[i];
          const off = i === at ? 0 : half * uncertainty;
          return off >= 0
            ? spanned(value, { ...value, interval: { low: there - off, high: there + off } })
            : value;
        });
      }
  });
  return { lower: lower?.start, values: wider };
}
