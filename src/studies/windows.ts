// The windows that a check asks about. Takes a run and a check; gives each window in order of time: the check's span, or in it
// every whole period of what it counts by.
import type { CheckSpec } from "../design/design.js";
import type { Run } from "../simulation/run.js";

/** A window, in seconds of the run. */
export interface Asked {
  /** Start of the period. */
  readonly begin: number;
  readonly from: number;
  readonly to: number;
  readonly at?: number;
}

/** The windows of a check, in a run that has samples. */
export function windowsOf(run: Run, check: CheckSpec): Asked[] {
  const { within, at, each, before = run.until } = check;
  const { clock } = run.assembly;
  const after = check.after ?? clock.time(run.recording.span().from);
  if (each === undefined) return [{ begin: after, from: after, to: before, ...(at !== undefined && { at }) }];
  const starts = run.periods(each);
  const found: Asked[] = [];
  for (let i = 0; i + 1 < starts.length; i++) {
    const begin = starts[i]!;
    const end = starts[i + 1]!;
    if (begin < after || end > before) continue;
    found.push({
      begin,
      from: begin + (within?.from ?? 0),
      to: within ? Math.min(begin + within.to, end) : end,
      ...(at !== undefined && { at: begin + at }),
    });
  }
  return found;
}
