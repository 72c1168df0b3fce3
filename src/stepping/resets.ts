// States without a steady value that are defined all the same. An ideal source drives some without end until something resets
// them (a capacitor charged by a current and shorted by a switch that has not closed yet, a coil on a supply whose switch has
// not opened): they start as the reset leaves them. Others are driven by another part's given initial value (the coil of a
// tank whose capacitor starts charged): they start as they would without it. Takes a runaway and the modes it was met in;
// gives the states with those values.
import type { State, System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { only } from "./nomode.js";
import { checkSteady, Runaway, steadyState } from "./steady.js";

/** A state without a steady value, and where it starts. */
export interface RunawayStart {
  /** Index of the part. */
  readonly part: number;
  readonly unit: "V" | "A";
  /** In `unit`. */
  readonly is: number;
  /** As its reset leaves it, or as it would be without the initial values of other parts. */
  readonly as: "reset" | "not given";
}

/** The sources, and the time in which everything that can come to rest does. */
interface Rest {
  readonly u: Float64Array;
  readonly ages: number;
}

/** States that run away, and the modes in which this was met. */
interface Astray {
  readonly system: System;
  readonly states: readonly State[];
  readonly modes: Uint8Array;
  readonly runaway: Runaway;
  readonly rest: Rest;
}

/**
 * The states, with the runaways held where another mode of one part, or all switches the other way, would put them.
 * @returns undefined where no part resets any of them
 */
export function untilReset({ system, states, modes, runaway, rest }: Astray): readonly State[] | undefined {
  const left = new Set(runningAway(states, runaway));
  const held = new Map<number, number>();
  for (const other of resets(system, modes)) {
    if (left.size === 0) break;
    const x = restingIn(system, states, other, rest);
    if (!x) continue;
    for (const i of left)
      if (Number.isFinite(x.at[i]) && !x.astray.includes(states[i].part)) {
        held.set(i, x.at[i]);
        left.delete(i);
      }
  }
  return holding(states, held);
}

/**
 * The states, with the runaways held where they would be if nothing were given.
 * @returns undefined where they run away all the same
 */
export function withoutGiven({ system, states, modes, runaway, rest }: Astray): readonly State[] | undefined {
  const free = states.map((state) => ({ ...state, initial: undefined }));
  const x = restingIn(system, free, modes, rest);
  if (!x) return undefined;
  const held = runningAway(states, runaway)
    .filter((i) => Number.isFinite(x.at[i]) && !x.astray.includes(states[i].part))
    .map((i) => [i, x.at[i]] as const);
  return holding(states, new Map(held));
}

/** Indices of the states that run away. */
function runningAway(states: readonly State[], { parts }: Runaway): number[] {
  return states.flatMap(({ part, initial }, i) => (initial === undefined && parts.includes(part) ? [i] : []));
}

function holding(states: readonly State[], held: ReadonlyMap<number, number>): readonly State[] | undefined {
  if (held.size === 0) return undefined;
  return states.map((state, i) => (held.has(i) ? { ...state, initial: held.get(i)! } : state));
}

/** The states that were given a value in this way. @param reset those of them that a reset defines */
export function runawayStarts(
  system: System,
  states: readonly State[],
  reset: readonly State[],
): RunawayStart[] {
  return states.flatMap((state, i) => {
    const { part, type, initial } = state;
    if (initial === undefined || system.states[i].initial !== undefined) return [];
    const unit = type === "inductor" ? ("A" as const) : ("V" as const);
    return [
      { part, unit, is: initial, as: reset.includes(state) ? ("reset" as const) : ("not given" as const) },
    ];
  });
}

/** Combinations in which one commanded part is in another mode, and last one in which all switches are. */
function* resets(system: System, modes: Uint8Array): Iterable<Uint8Array> {
  const all = modes.slice();
  for (const [p, { device }] of system.members.entries()) {
    if (!commanded(system, p)) continue;
    for (let mode = 0; mode < device.modes.length; mode++) {
      if (mode === modes[p]) continue;
      const other = modes.slice();
      other[p] = mode;
      yield other;
    }
    if (device.obey) all[p] = device.obey(modes[p], device.obey(modes[p], true) !== modes[p]);
  }
  yield all;
}

/** A switch, or a part with three places or more, one of which steers it: one turned only by its own voltage resets nothing. */
function commanded(system: System, part: number): boolean {
  const { device } = system.members[part];
  if (device.obey) return true;
  if (device.modes.length < 2) return false;
  const places = new Set(
    device.modes.flatMap((_, mode) =>
      device.guards(mode).flatMap(({ of }) => ("element" in of ? [] : [of.a, of.b])),
    ),
  );
  return places.size > 2;
}

/** Where everything rests in a combination, and the parts that do not; undefined where it has no solution. */
function restingIn(system: System, states: readonly State[], modes: Uint8Array, { u, ages }: Rest) {
  try {
    const combination = system.combination(modes);
    const at = steadyState(combination.equations, states, u, ages);
    try {
      checkSteady(states, combination, at, u, ages);
      return { at, astray: [] };
    } catch (error) {
      only(error, Runaway);
      return { at, astray: error.parts };
    }
  } catch (error) {
    only<unknown>(error, Unsolvable, Runaway);
    return undefined;
  }
}
