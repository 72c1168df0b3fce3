// From guards to their parts, and to the modes that they lead to.
import type { Combination } from "../equations/system.js";

/** The modes after the parts of some guards have gone where these lead. */
export function flipped(at: Combination, guards: readonly number[]): Uint8Array {
  const { guardOf } = at.equations;
  const modes = at.modes.slice();
  // Of several guards of one part the first one decides.
  for (let k = guards.length - 1; k >= 0; k--) modes[guardOf[guards[k]].part] = guardOf[guards[k]].to;
  return modes;
}

/** Of some guards, the one with the lowest-numbered part. */
export function firstGuard(at: Combination, guards: readonly number[]): number {
  const { guardOf } = at.equations;
  return guards.reduce((best, g) => (guardOf[g].part < guardOf[best].part ? g : best));
}

/** The parts of some guards. */
export function partsOfGuards(at: Combination, guards: readonly number[]): number[] {
  return [...new Set(guards.map((g) => at.equations.guardOf[g].part))];
}

const none: readonly number[] = [];

/** Guards in ascending order; an empty list for undefined. */
export function ascending(guards: number[] | undefined): readonly number[] {
  if (!guards) return none;
  // Usually two or three, so an insertion sort: the built-in sort would cost more than the list is worth.
  for (let i = 1; i < guards.length; i++) {
    const g = guards[i];
    let at = i;
    for (; at > 0 && guards[at - 1] > g; at--) guards[at] = guards[at - 1];
    guards[at] = g;
  }
  return guards;
}
