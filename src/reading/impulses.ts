// What charge and flux shared at an instant add to a trace: a current, voltage or power without bound that lasts no time and has
// a known area.

import type { Assembly } from "../assembly/assemble.js";
import type { Impulses } from "../waveforms/trace.js";
import type { Probe } from "./probe.js";
import type { Recording } from "./recording.js";

const sizes = { current: "charge", voltage: "flux", power: "energy" } as const;

/** The impulses of what a probe reads, in order of time; undefined where there are none. */
export function impulsesOf({ clock }: Assembly, recording: Recording, probe: Probe): Impulses | undefined {
  if (probe.type === "place" || probe.type === "clipping" || probe.type === "slewing") return undefined;
  const [time, size]: [number[], number[]] = [[], []];
  const of = sizes[probe.type];
  for (const { tick, parts } of recording.lost()) {
    const own = parts.find((p) => p.part === probe.part);
    if (!own || own[of] === 0) continue;
    time.push(clock.time(tick));
    size.push(own[of]);
  }
  return time.length > 0 ? { time: Float64Array.from(time), size: Float64Array.from(size) } : undefined;
}
