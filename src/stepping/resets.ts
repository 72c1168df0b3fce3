// States that an ideal source drives without end until something resets them: a capacitor that is charged by a current and
// shorted by a switch that has not closed yet, a coil on a supply whose switch has not opened. They have no steady value, but
// they are defined: by what the reset leaves. Take a runaway and the modes it was met in; give those states with that value.
import type { State, System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { checkSteady, Runaway, steadyState } from "./steady.js";

/** A state without a steady value that starts as its reset leaves it. */
export interface ResetStart {
  /** Index of the part. */
  readonly part: number;
  readonly unit: "V" | "A";
  /** In `unit`. */
  readonly is: number;
}

/** The sources and the time in which everything that can come to rest does. */
interface Rest {
  readonly u: Float64Array;
  readonly ages: number;
}

/**
 * The states with those that run away held where another mode of one part, or all switches closed, would have them.
 * @returns nothing where no part resets any of them
 */
export function untilReset(
  system: System,
  states: readonly State[],
  modes: Uint8Array,
  runaway: Runaway,
  rest: Rest,
): readonly State[] | undefined {
  const left = new Set(
    states.flatMap(({ part, initial }, i) =>
      initial === undefined && runaway.parts.includes(part) ? [i] : [],
    ),
  );
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
  if (held.size === 0) return undefined;
  return states.map((state, i) => (held.has(i) ? { ...state, initial: held.get(i)! } : state));
}

/** The states that were given a value so. */
export function resetStarts(system: System, states: readonly State[]): ResetStart[] {
  return states.flatMap(({ part, type, initial }, i) =>
    initial !== undefined && system.states[i].initial === undefined
      ? [{ part, unit: type === "inductor" ? ("A" as const) : ("V" as const), is: initial }]
      : [],
  );
}

/** Combinations in which one part that is commanded stands otherwise, and last one in which all switches do. */
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

/** A switch, or a part with three places or more, one of which steers it: what only its own voltage turns resets nothing. */
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

/** Where everything rests in a combination, and the parts that do not; nothing where it has no solution. */
function restingIn(system: System, states: readonly State[], modes: Uint8Array, { u, ages }: Rest) {
  try {
    const combination = system.combination(modes);
    const at = steadyState(combination.equations, states, u, ages);
    try {
      checkSteady(states, combination, at, u, ages);
      return { at, astray: [] };
    } catch (error) {
      if (error instanceof Runaway) return { at, astray: error.parts };
      throw error;
    }
  } catch (error) {
    if (error instanceof Unsolvable || error instanceof Runaway) return undefined;
    throw error;
  }
}
