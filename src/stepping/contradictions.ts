// Values that parts are given for the start of a run and cannot have: coils in series with different currents, capacitors
// joined at different voltages, a coil that nothing carries the current of, a capacitor across a supply. What the states come
// to is right by conservation; that it is not what was written must be told, and what is lost in it counts.
import type { Combination, System } from "../equations/system.js";
import { type PartSharing, sharedBy } from "./sharing.js";
import type { Situation } from "./trial.js";

/** A state that does not begin where its part says. */
export interface Contradiction {
  /** Indices of the part, and of those whose states it hangs together with. */
  readonly part: number;
  readonly others: readonly number[];
  readonly unit: "V" | "A";
  /** Sources alone or among others say what it is. */
  readonly driven: boolean;
  /** What is written, and what it begins with, in `unit`. */
  readonly given: number;
  readonly is: number;
}

/** A difference smaller than this share of the values is rounding. */
const speck = 1e-9;

/** The states that do not begin where their parts say. */
export function contradictions({ states }: System, at: Combination, x: Float64Array): Contradiction[] {
  return states.flatMap(({ part, type, initial }, i) => {
    if (
      initial === undefined ||
      Math.abs(x[i] - initial) <= speck * Math.max(Math.abs(x[i]), Math.abs(initial))
    )
      return [];
    const { dependent, nx } = at.equations;
    const driven = dependent.some(({ state, row }) => state === i && row.at.some((k) => k >= nx));
    const near = dependent.filter(({ state, row }) => state === i || row.at.includes(i));
    const others = near.flatMap(({ state, row }) => [state, ...row.at.filter((k) => k < nx)]);
    const names = [...new Set(others.map((k) => states[k].part))].filter((p) => p !== part);
    const unit = type === "inductor" ? "A" : "V";
    return [{ part, others: names, unit, driven, given: initial, is: x[i] }];
  });
}

/** What is lost in making such states fit, where they share it with anything, and what that does to parts. */
export function startingLoss(
  system: System,
  at: Combination,
  s: Situation,
): { readonly lost: number; readonly parts: readonly PartSharing[] } {
  const { states } = system;
  const { dependent } = at.equations;
  const before = s.x.slice();
  for (const [i, { initial }] of states.entries()) {
    const tie = dependent.find(({ state }) => state === i);
    // A coil that hangs free shares its current with nothing.
    const free = tie?.row.at.length === 0;
    if (initial !== undefined && !free) before[i] = initial;
  }
  const after = before.slice();
  const lost = at.equations.reconcile(after, s.u);
  return { lost, parts: lost > 0 ? sharedBy(system, at, { ...s, before, x: after }, lost) : [] };
}
