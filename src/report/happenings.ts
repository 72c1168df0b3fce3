// What happens on the way of a run, whichever words of the text bring it: a source that starts or stops, a switch that opens or
// closes at a stated time, be it a plug that a value pulls out of its jack.
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

/** What happens within a run, in order; of what happens at one instant the first in the text is named. */
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

/** The shortest period of a source, of video that of its lines, s; undefined where none repeats. */
export function fastest(design: Design): number | undefined {
  const periods = design.parts.flatMap((part) => {
    const shape = part.wave?.shape;
    if (shape?.kind === "segments" && shape.period) return [toNumber(shape.period)];
    if (shape?.kind !== "packed" || !countable(part)) return [];
    // Lines last some 64 us (ITU-R BT.1700): a millisecond has several of them.
    const [first, second] = instants(design, part.name, 1e-3);
    return second > first ? [second - first] : [];
  });
  return periods.length === 0 ? undefined : Math.min(...periods);
}
