// Floor, peak, mean and swing of traces over a long stretch by a bounded number of looks, since a place of a video path may turn
// a hundred thousand times in a frame. The stretch is cut into equal parts. Each is looked at in a random place, and at both ends
// of the leap there, where switched signals have their highest and lowest values; the mean is that of the random looks
// (stratified sampling: W. G. Cochran, Sampling Techniques, 1977, chapter 5). Short recordings are measured exactly.
import type { MeasureSpec } from "../design/design.js";
import { type Taken, takeAll } from "../judging/verify.js";
import type { TimeSpan } from "../measures/window.js";
import type { Seen } from "../reading/accuracy.js";
import { looksAlong } from "../reading/leapview.js";
import { probeOf } from "../reading/probe.js";
import type { Run } from "../reading/result.js";
import { chance } from "../spread/random.js";
import type { Looked, StandardWord } from "./columns.js";

/** A recording with no more samples than these in a stretch is measured exactly. */
const shortRecording = 4000;
/** Number of random looks. */
const looks = 500;
/** Standard deviation of a mean of so many looks, as a share of the swing, where a trace has an edge in a tenth of the parts. */
export const sampledDoubt = 0.006;
/**
 * The same of the highest and lowest of a rail's current, the sum of branches that seldom peak together, so that looks may miss
 * it: on boards in which one in fifty was off by 9 to 14 % of the swing.
 */
export const rareDoubt = 0.04;

/** What columns measure in a run, in their order; NaN where it does not occur. */
export function measuredColumns(run: Run, columns: readonly Looked[]): number[] {
  if (run.recording.count === 0) return columns.map(() => Number.NaN);
  const sampling = columns.filter((c) => c.standard && longRecording(run, spanOf(c.spec)));
  const targets = [...new Set(sampling.map((c) => c.spec.target))];
  // Standard measures of one case share its window.
  const levels = sampling.length > 0 ? sampledLevels(run, targets, spanOf(sampling[0].spec)) : [];
  const sampled = new Map(targets.map((target, i) => [target, levels[i]]));
  const exact = columns.filter((c) => !sampling.includes(c));
  const taken = takeAll(
    run,
    exact.map((c) => c.spec),
  );
  const measured = new Map(exact.map((c, i) => [c, highest(taken[i])]));
  return columns.map((c) => measured.get(c) ?? sampled.get(c.spec.target)![c.standard!]);
}

function spanOf({ after, before }: MeasureSpec): TimeSpan {
  return { from: after!, to: before! };
}

/** For many periods the highest value. */
function highest(taken: Taken): number {
  if ("reason" in taken) return Number.NaN;
  if ("measured" in taken) return taken.measured;
  let most = Number.NaN;
  for (const v of taken.values) if (!(v <= most)) most = Number.isNaN(v) ? most : v;
  return most;
}

export function sampledAny(run: Run, columns: readonly Looked[]): boolean {
  return columns.some((c) => c.standard && run.recording.count > 0 && longRecording(run, spanOf(c.spec)));
}

function longRecording({ recording, assembly }: Run, { from, to }: TimeSpan): boolean {
  const tick = assembly.clock.seconds;
  return recording.exact && recording.last(to / tick) - recording.last(from / tick) > shortRecording;
}

/** What has been seen of one trace. */
interface Met {
  low: number;
  high: number;
  sum: number;
}

function sampledLevels(
  run: Run,
  names: readonly string[],
  { from, to }: TimeSpan,
): Record<StandardWord, number>[] {
  const { assembly, recording, design } = run;
  const probes = names.map((name) => probeOf(design, name).probe);
  const along = looksAlong(assembly, recording, probes);
  const span = recording.span({
    from: Math.floor(from / assembly.clock.seconds),
    to: Math.ceil(to / assembly.clock.seconds),
  });
  const seen: Seen = { tick: 0, value: 0, slope: 0 };
  const met = names.map(
    (): Met => ({ low: Number.POSITIVE_INFINITY, high: Number.NEGATIVE_INFINITY, sum: 0 }),
  );
  let count = 0;
  for (let k = 0; k < looks; k++) {
    const share = (k + chance(1, k, "look")) / looks;
    const at = span.from + Math.floor(share * (span.to - span.from));
    const here = along.glance(at);
    if (!here) continue;
    const { stretch, inside } = here;
    count++;
    const look = (tick: number, side: 0 | 1, mean: 0 | 1) => {
      for (const [sight, one] of met.entries()) {
        inside.look(tick, side, seen, sight);
        if (seen.value < one.low) one.low = seen.value;
        if (seen.value > one.high) one.high = seen.value;
        one.sum += mean * seen.value;
      }
    };
    look(Math.max(stretch.from, span.from), 1, 0);
    look(Math.min(at, stretch.to), 1, 1);
    look(Math.min(stretch.to, span.to), 0, 0);
  }
  return met.map(({ low, high, sum }) =>
    count === 0
      ? { floor: Number.NaN, peak: Number.NaN, mean: Number.NaN, swing: Number.NaN }
      : { floor: low, peak: high, mean: sum / count, swing: high - low },
  );
}
