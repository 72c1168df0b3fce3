// How a march ended, in words: the one place that turns what stopped it into a reason.
import type { System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { CutOff, NoMode } from "./nomode.js";
import type { Ending } from "./sink.js";
import { Runaway } from "./steady.js";

/** Thrown to stop a march; what was computed is kept. */
export class Stop extends Error {
  /**
   * @param code `steps`, `cancelled`, `time`, `recording`, `overflow` or `chatter`
   * @param parts the parts concerned
   * @param pace of chatter with time between events: their number, their mean distance by now (s), and whether that shrinks
   */
  constructor(
    readonly code: keyof typeof stops,
    readonly parts: readonly number[] = [],
    readonly pace?: { readonly count: number; readonly seconds: number; readonly faster: boolean },
  ) {
    super(code);
  }
}

type Words = (parts: string) => string;

const stops = {
  steps: (() => "the limit on steps, limits.steps, was reached") as Words,
  cancelled: (() => "the run was cancelled") as Words,
  time: (() => "the limit on time, limits.seconds, was reached") as Words,
  recording: (() => "the limit on the size of the recording, limits.bytes, was reached") as Words,
  overflow: ((parts) => `${parts} grows without bound`) as Words,
  chatter: ((parts) => `${parts} kept switching, more than 64 times without any time between`) as Words,
};

/** Why a run ended, in words, where nobody waits for it any more. */
export function whyEnded(code: "cancelled" | "time"): string {
  return stops[code]("");
}

const modes: Readonly<Record<NoMode["code"], Words>> = {
  "no-mode": (parts) =>
    `no combination of modes fits: ${parts} ${parts.includes(",") ? "contradict each other" : "is at odds with each of its own"}`,
  "two-modes": (parts) => `more than one combination of modes fits: ${parts} could be either way`,
  chatter: (parts) =>
    `${parts} ${parts.includes(",") ? "switch each other" : "switches itself"} without end at one instant`,
};

const faults: Readonly<Record<Unsolvable["code"], Words>> = {
  "source-loop": (parts) => `ideal voltages stand in a loop: ${parts}`,
  "no-path": (parts) => `the current of ${parts} has no way to flow`,
  "ill-conditioned": (parts) => `the equations of ${parts} have no accurate solution`,
};

/**
 * The ending of a march.
 * @param stop what was thrown, or undefined when the end was reached; anything but a stop is thrown again
 */
export function endingOf(
  stop: unknown,
  system: System,
  counts: Omit<Ending, "status" | "code" | "reason">,
): Ending {
  if (stop === undefined) return { status: "complete", code: "", reason: "", ...counts };
  const names = (parts: readonly number[]) =>
    [...new Set(parts.map((p) => `'${system.members[p].name}'`))].sort().join(", ");
  const ended = (code: string, reason: string): Ending => ({ status: "stopped", code, reason, ...counts });
  if (stop instanceof Stop && stop.pace) {
    const { count, seconds, faster } = stop.pace;
    const each = seconds.toPrecision(2);
    const verb = stop.parts.length > 1 ? "switch" : "switches";
    return ended(
      stop.code,
      `${names(stop.parts)} ${verb} ${faster ? "ever faster" : "without end"}, ${count} times so far and by now every ${each} s: it needs hysteresis or a delay`,
    );
  }
  if (stop instanceof Stop) return ended(stop.code, stops[stop.code](names(stop.parts)));
  if (stop instanceof Unsolvable) return ended(stop.code, faults[stop.code](names(stop.parts)));
  if (stop instanceof NoMode) return ended(stop.code, modes[stop.code](names(stop.parts)));
  if (stop instanceof CutOff) {
    const why = stop.parts.some((part) => system.couples(part))
      ? "is cut off, and what of its flux leaks past the coils coupled to it has nowhere to go; give it a way on, e.g. a capacitor or a diode across it"
      : "is cut off: give it a way on, e.g. a freewheel diode";
    return ended("cut-off", `the current of ${names(stop.parts)} ${why}`);
  }
  if (stop instanceof Runaway) {
    return ended(
      "no-steady-state",
      `nothing stops ${names(stop.parts)}: there is no steady state to start from; add what does, e.g. a resistor, or begin 'from rest'`,
    );
  }
  throw stop;
}
