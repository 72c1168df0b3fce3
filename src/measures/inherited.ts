// What a period takes over from the one before. A ramp that is reset where a period starts has its corner on the border of two
// periods, and is on its way down in the second. Its peak belongs to the period in which it rose: taken for the second one's
// as well, it would hide that this one's own ramp is short. So lowest and highest values of a period are those from
// where such a way back ends. A period that has nothing else counts whole.
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";

/**
 * Below this share of the chord's slope, the slope after the border is that of a smooth turn and not of a corner; and the one before
 * it that of a trace at rest, whose level nobody reached in a period.
 */
const corner = 1e-3;

/** Where a period's own course starts. */
export interface OwnStart {
  /** Instant, s. */
  readonly at: number;
  /** Value there, before a jump. */
  readonly value: number;
}

/**
 * The end of the way back from a corner at the start of a period; undefined without one.
 * @param from a sample of the trace, s
 * @param to end of the period, s
 */
export function ownStart(trace: Trace, from: number, to: number): OwnStart | undefined {
  const { time, value } = trace;
  const start = trace.index(from);
  if (start === 0 || time[start] !== from || time[start - 1] === from || !(time[start + 1] > from))
    return undefined;
  const before = new Arc().load(trace, start - 1).slope(1);
  const arc = new Arc().load(trace, start);
  const after = arc.slope(0);
  const way = Math.sign(after);
  if (way === 0 || before * way >= 0 || Math.abs(after) * arc.length < corner * Math.abs(arc.rise))
    return undefined;
  const end = wayBack(trace, start, to, way);
  if (!end || Math.abs(before) * (to - from) < corner * Math.abs(value[start] - end.value)) return undefined;
  return end;
}

/** Where a trace first stops going one way; undefined where it goes on to the end of the period. */
function wayBack(trace: Trace, start: number, to: number, way: number): OwnStart | undefined {
  const { time, value } = trace;
  const arc = new Arc();
  const turns = new Float64Array(2);
  for (let i = start; time[i] < to; i++) {
    // A jump, or a stretch that does not go on that way, ends it.
    if (!((value[i + 1] - value[i]) * way > 0))
      return i > start ? { at: time[i], value: value[i] } : undefined;
    if (time[i + 1] === time[i]) continue;
    if (arc.load(trace, i).turns(turns) > 0) {
      const at = arc.start + turns[0] * arc.length;
      return at < to ? { at, value: arc.value(turns[0]) } : undefined;
    }
  }
  return undefined;
}
