// The patches of a trace that are worth drawing, where checks read parts of every period or only instants.

import type { TimeSpan } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import type { CheckView } from "./checkview.js";

/** From this share of a stretch on its parts are not drawn separately. */
const most = 0.8;
/** How much is drawn on either side of an instant, as a share of the run: there may be thousands of instants. */
const beside = 1e-6;

/**
 * The parts of a span that are read, in order and separate; undefined to draw all of it. Every window is covered as far as its
 * measure reads it.
 * @param views all that read the trace
 */
export function patchesOf(
  run: Run,
  views: readonly CheckView[],
  span: TimeSpan,
): readonly TimeSpan[] | undefined {
  // The inside of a step is not recorded, so parts of steps would reach beyond both ends.
  if (!run.recording.exact || span.to > run.reached || views.some(throughout)) return undefined;
  const near = 2 * beside * run.until;
  const all = views.flatMap((view) => partsOf(run, view)).sort((a, b) => a.from - b.from);
  const patches: { from: number; to: number }[] = [];
  for (const { from, to } of all) {
    const last = patches.at(-1);
    if (to < span.from || from > span.to) continue;
    if (last && from <= last.to + near) last.to = Math.max(last.to, to);
    else patches.push({ from, to });
  }
  const length = patches.reduce((sum, { from, to }) => sum + (to - from), 0);
  return patches.length > 0 && length < most * (span.to - span.from) ? patches : undefined;
}

/** Whether a view reads everything from the start to the end of a span. */
function throughout({ check: { each, within }, measure: { looks, needs } }: CheckView): boolean {
  return looks !== "ends" && needs !== "at" && (each === undefined || within === undefined);
}

/** Where any other view reads. */
function partsOf({ until, recording, assembly }: Run, { check, measure, windows }: CheckView): TimeSpan[] {
  const around = (t: number) => ({
    from: Math.max(0, t - beside * until),
    to: Math.min(until, t + beside * until),
  });
  const parts = (from: number, to: number, at?: number) => {
    if (measure.needs === "at") return at === undefined ? [] : [around(at)];
    if (from > to) return [];
    return measure.looks === "ends" ? [around(from), around(to)] : [{ from, to }];
  };
  const { after = assembly.clock.time(recording.span().from), before = until, at } = check;
  if (!windows) return parts(after, before, at);
  return windows.batches.flatMap(({ first, end }) =>
    Array.from({ length: end - first }, (_, k) => {
      const { from, to, at } = windows.window(first + k);
      return parts(from, to, at);
    }).flat(),
  );
}
