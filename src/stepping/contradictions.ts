// Initial values that parts are given and cannot have: coils in series with different currents, capacitors joined at
// different voltages, a coil whose current has no path, a capacitor across a supply. Conservation makes the resulting
// states right; that they differ from what was written must be reported, and the energy lost counts.
import type { Combination, System } from "../equations/system.js";
import { type PartSharing, sharedBy } from "./sharing.js";
import type { Situation } from "./trial.js";

/** A state that does not begin at the value given to its part. */
export interface Contradiction {
  /** Indices of the part, and of those whose states it is tied to. */
  readonly part: number;
  readonly others: readonly number[];
  readonly unit: "V" | "A";
  /** Whether sources take part in setting its value. */
  readonly driven: boolean;
  /** The value written, and the one it begins with, in `unit`. */
  readonly given: number;
  readonly is: number;
}

/** A difference smaller than this share of the values is rounding. */
const speck = 1e-9;

/** The states that do not begin at their parts' values. */
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

/** The energy lost in making such states fit, where they share it with others, and what that does to parts. */
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
    // A coil whose current has no path shares it with nothing.
    const free = tie?.row.at.length === 0;
    if (initial !== undefined && !free) before[i] = initial;
  }
  const after = before.slice();
  const lost = at.equations.reconcile(after, s.u);
  return { lost, parts: lost > 0 ? sharedBy(system, at, { ...s, before, x: after }, lost) : [] };
}
