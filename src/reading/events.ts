// The events of a run, from the recorded modes: what changed from one sample to the next.
import type { Assembly } from "../assembly/assemble.js";
import type { Recording } from "./recording.js";

/** A change of one part's mode, as plain data. */
export interface ModeEvent {
  /** When, s. */
  readonly time: number;
  /** Full name of the part. */
  readonly part: string;
  /** The mode that it left, by name: `open`, `off`. */
  readonly from: string;
  /** The mode that it entered. */
  readonly to: string;
}

/** The recorded events in order of time; at one instant in the order of the text. */
export function eventsOf({ system, clock }: Assembly, recording: Recording): ModeEvent[] {
  const found: ModeEvent[] = [];
  const { combinations, members } = system;
  for (let i = 1; i < recording.count; i++) {
    const [before, after] = [recording.mode(i - 1), recording.mode(i)];
    if (before === after) continue;
    const [left, reached] = [combinations[before].modes, combinations[after].modes];
    const time = clock.time(recording.tick(i));
    for (const [p, { name, device }] of members.entries())
      if (left[p] !== reached[p])
        found.push({ time, part: name, from: device.modes[left[p]], to: device.modes[reached[p]] });
  }
  return found;
}
