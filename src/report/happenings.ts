// What happens during a run, whichever words of the text cause it: a source that starts or stops, a switch that opens or closes
// at a stated time, such as a plug pulled out of its jack.
import { instants } from "../assembly/each.js";
import { toNumber } from "../base/fraction.js";
import { countable, type Design } from "../design/design.js";
import type { Run } from "../reading/result.js";

/** Something that happens. */
export interface Happening {
  /** s. */
  readonly at: number;
  /** e.g. `camera stops`. */
  readonly label: string;
}

/** What happens within a run, in order; of several events at one instant, the first in the text. */
export function happenings({ design, reached }: Run): Happening[] {
  const all = design.parts.flatMap(({ name, wave, control }): Happening[] => {
    const said = (at: number | undefined, word: string) =>
      at === undefined ? [] : [{ at, label: `${name} ${word}` }];
    const times = control?.type === "times" ? control : undefined;
    return [
      ...said(wave?.starts && toNumber(wave.starts), "starts"),
      ...said(wave?.stops && toNumber(wave.stops), "stops"),
      ...said(times && toNumber(times.from), "closes"),
      ...said(times?.to && toNumber(times.to), "opens"),
    ];
  });
  const within = all.filter(({ at }) => at > 0 && at < reached).sort((a, b) => a.at - b.at);
  return within.filter(({ at }, i) => i === 0 || at > within[i - 1].at);
}

/** The shortest period of any source, for video that of its lines, s; undefined if none repeats. */
export function fastest(design: Design): number | undefined {
  const periods = design.parts.flatMap((part) => {
    const shape = part.wave?.shape;
    if (shape?.kind === "segments" && shape.period) return [toNumber(shape.period)];
    if (shape?.kind !== "packed" || !countable(part)) return [];
    // A line lasts some 64 us (ITU-R BT.1700), so a millisecond holds several.
    const [first, second] = instants(design, part.name, 1e-3);
    return second > first ? [second - first] : [];
  });
  return periods.length === 0 ? undefined : Math.min(...periods);
}
