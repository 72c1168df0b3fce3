// The parts of a span that a check looks at once, in a run that repeats: what comes before, one period with how often it recurs,
// and what follows. A span of fifteen million lines is then drawn like one of three.
import type { TimeSpan } from "../measures/window.js";
import type { Run } from "../reading/result.js";

/** A part of a span, s, and how often it occurs right after itself, the first time included. */
export interface SpanPart extends TimeSpan {
  readonly times: number;
}

/** Periods that are drawn although they repeat: fewer than these are not worth a cut. */
const few = 4;

/** The parts of a span, adjoining and in order; undefined where nothing in it is known to repeat. */
export function spanParts({ recording, assembly }: Run, { from, to }: TimeSpan): SpanPart[] | undefined {
  const { clock } = assembly;
  const parts: SpanPart[] = [];
  let since = from;
  const until = (end: number) => {
    if (end > since) parts.push({ from: since, to: end, times: 1 });
  };
  for (const { from: first, until: last, ticks } of recording.repetitions) {
    // The first period may begin as no other does.
    let begin = first + ticks;
    begin += ticks * Math.max(0, Math.ceil((since - clock.time(begin)) / clock.time(ticks)));
    if (clock.time(begin) < since) begin += ticks;
    const end = Math.min(last, to / clock.seconds);
    let times = Math.floor((end - begin) / ticks);
    if (clock.time(begin + times * ticks) > to) times--;
    if (times < few) continue;
    until(clock.time(begin));
    parts.push({ from: clock.time(begin), to: clock.time(begin + ticks), times });
    since = clock.time(begin + times * ticks);
  }
  if (parts.length === 0) return undefined;
  until(to);
  return parts;
}
