// The cost of a run, as far as it can be told beforehand: corners of signals, each of which ends a step or a leap, and the
// periods that checks count by. What is plainly beyond a limit is refused before any work is done.

import { beatOf } from "../assembly/each.js";
import { refuseOption } from "../base/asked.js";
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { largestOf } from "../base/search.js";
import type { System } from "../equations/system.js";
import { sampleBytes } from "../reading/samples.js";
import { mostRests, mostTurns, restsEvery, sineBeat } from "../signals/sinebeat.js";
import type { Wave } from "../signals/wave.js";
import type { Plan } from "./options.js";

/** A run, and those of its limits that can be checked beforehand. */
interface Limited extends Pick<Plan, "design" | "until" | "untilAsked"> {
  /** Absent where not every corner is marched. */
  readonly steps: number | undefined;
  /** The most turns of sines whose beats do not recur; absent where steps are a budget. */
  readonly turns: number | undefined;
  readonly periods: number;
}

const none: readonly never[] = [];

/**
 * Refuses a run that cannot reach its end.
 * @param leaping whether it leaps: sines are then straight, and their turns end no leap
 * @throws DesignError `bad-option`
 */
export function refuseBeyondLimits(
  { design, until, untilAsked, steps, turns, periods }: Limited,
  leaping: boolean,
): void {
  const refuse = (name: string, corners: number, most: number) =>
    refuseOption(
      untilAsked ? "until" : "limits.steps",
      `'${name}' turns some ${corners.toPrecision(2)} times in the run, more than the ${most} steps allowed`,
      "shorten the run, or raise limits.steps",
    );
  for (const { name, wave } of design.parts) {
    const corners = wave ? toNumber(lasting(wave, until).mul(rateOf(wave, leaping))) : 0;
    if (steps !== undefined && corners > steps) refuse(name, corners, steps);
  }
  // Sines end no leap, but a trace of them is looked into turn by turn: only what recurs is looked into once.
  const waves = () => design.parts.flatMap(({ wave }) => wave ?? none);
  const beat = leaping && turns !== undefined ? sineBeat(waves()) : undefined;
  for (const { name, wave } of beat ? design.parts : []) {
    if (wave?.shape.kind !== "sine") continue;
    const turned = toNumber(lasting(wave, until).mul(wave.shape.frequency));
    const recurs = restsEvery(toNumber(until.div(beat!))) > 0;
    const most = recurs ? Math.max(turns!, mostRests * mostTurns) : turns!;
    if (turned > most) refuse(name, turned, most);
  }
  for (const { each } of [...design.checks, ...design.shows]) {
    const counted = each === undefined ? undefined : beatOf(design, each);
    if (!counted) continue;
    const wave = counted.signal.wave!;
    const begun = toNumber(lasting(wave, until).mul(beatsOf(wave, counted.beat)));
    if (begun > periods)
      refuseOption(
        untilAsked ? "until" : "limits.periods",
        `'${each}' has more periods in the run than the ${periods} that a check may count by`,
        "shorten the run, or raise limits.periods",
      );
  }
}

/**
 * Refuses a circuit whose equations take more memory than allowed.
 * @throws DesignError `bad-option`
 */
export function refuseBeyondBytes(system: System, bytes: number): void {
  if (system.bytes > bytes)
    refuseOption(
      "limits.bytes",
      `the equations of this circuit take some ${(system.bytes / 1e9).toPrecision(2)} GB`,
      "raise the limit, or split the circuit",
    );
}

/**
 * Refuses a run that is sure to keep more samples than there is room for: one at each step of a fixed size, and one at
 * each corner of a signal where every period is computed.
 * @param states of the circuit
 * @throws DesignError `bad-option`
 */
export function refuseBeyondRoom(
  { design, until, untilAsked, step, from = ratio(0), to = until, repeats, bytes, steps }: Plan,
  states: number,
  leaping: boolean,
): void {
  const kept = (to.lt(until) ? to : until).sub(from);
  const corners = design.parts.map(({ wave }) =>
    wave && !(repeats && leaping) ? toNumber(lasting(wave, kept).mul(rateOf(wave, leaping))) : 0,
  );
  // The run ends with its steps, so it keeps no more samples than these.
  const samples = Math.min(steps, largestOf(corners, step ? toNumber(kept.div(step)) : 0));
  const room = samples * sampleBytes(states);
  if (room > bytes)
    refuseOption(
      step ? "step" : untilAsked ? "until" : "limits.bytes",
      `some ${samples.toPrecision(2)} samples would be kept, which take ${(room / 1e9).toPrecision(2)} GB`,
      "record a part of the run, stream it, or raise limits.bytes",
    );
}

/** How long a wave is on in the run, s. */
function lasting({ starts, stops }: Wave, until: Fraction): Fraction {
  const end = stops?.lt(until) ? stops : until;
  const begin = starts?.gt(0) ? starts : ratio(0);
  return end.gt(begin) ? end.sub(begin) : ratio(0);
}

/** Corners a second. */
function rateOf({ shape }: Wave, leaping: boolean): Fraction {
  switch (shape.kind) {
    case "segments":
      return shape.period ? ratio(shape.corners.length).div(shape.period) : ratio(0);
    case "packed":
      return ratio(shape.times.length).div(shape.unit).div(shape.length);
    case "sine":
      return leaping ? ratio(0) : shape.frequency.mul(2);
    default:
      return ratio(0);
  }
}

/** Beats a second. */
function beatsOf({ shape }: Wave, beat: string | undefined): Fraction {
  if (shape.kind === "sine") return shape.frequency;
  if (shape.kind === "segments") return shape.period ? shape.period.inverse() : ratio(0);
  if (shape.kind !== "packed" || !shape.periodStarts) return ratio(0);
  const marks = beat === undefined ? [...shape.periodStarts.values()][0] : shape.periodStarts.get(beat);
  return ratio(marks?.length ?? 0)
    .div(shape.unit)
    .div(shape.length);
}
