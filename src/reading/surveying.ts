// A sample of the leaps of a recording, so that a trace knows its swing before it is drawn.
import type { Recording, Stretch } from "./recording.js";

/** A stretch of time, in ticks. */
export interface TickSpan {
  readonly from: number;
  readonly to: number;
}

/** The most leaps that are taken. */
const most = 512;
const golden = (Math.sqrt(5) - 1) / 2;

/** Leaps within some spans, in order: all of them, or a few hundred where there are more. */
export function* surveyed(recording: Recording, spans: readonly TickSpan[]): Generator<Stretch> {
  const reaches = spans.map(({ from, to }) => {
    const first = recording.last(from);
    return { first, count: Math.max(0, recording.after(to) - 1 - first) };
  });
  const count = reaches.reduce((sum, reach) => sum + reach.count, 0);
  const looks = Math.min(count, most);
  for (let k = 0, at = 0, passed = 0; k < looks; k++) {
    // Spread evenly but, by the golden section, not in step with anything periodic.
    const wanted = looks < count ? Math.floor(((k + ((k * golden) % 1)) * count) / looks) : k;
    while (wanted >= passed + reaches[at].count) passed += reaches[at++].count;
    const index = reaches[at].first + wanted - passed;
    const [from, to] = [recording.tick(index), recording.tick(index + 1)];
    if (from < to) yield { index, end: index + 1, from, to };
  }
}
