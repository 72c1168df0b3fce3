// A coupling: two inductors share flux. v₁ = L₁ i₁' + M i₂' and v₂ = M i₁' + L₂ i₂' with M = k √(L₁ L₂); the tails of the two are
// their dotted ends. It joins parts, not places, and has no voltage and no current of its own. Any number of coils may be coupled
// in pairs, as windings on one core are. A coupling also holds for coils that fail: one that is open takes no part, one that is
// short still has its turns, with the short across them.
import { dimension } from "../base/dimension.js";
import type { Kind } from "./contract.js";
import { linear } from "./making.js";

export const coupling: Kind = {
  word: "coupling",
  equations: [
    "M = k · √(L₁ · L₂); 100 % counts as 99.9999 %",
    "a coil without leakage that is cut off hands its flux over to the other at an instant",
  ],
  summary: "two inductors, named in place of places, that share flux; their tails are the dotted ends",
  value: { dimension: dimension.number, range: "share" },
  properties: [],
  couples: "inductor",
  fails: ["open"],
  make: () => linear(() => undefined),
};

/**
 * A coefficient as the equations take it. A coil without any leakage has no inductance left when the other is shorted; two
 * millionths are kept, so that every current still follows from a voltage.
 */
export function tightest(k: number): number {
  return Math.min(k, 1 - 1e-6);
}

/**
 * Whether coils can be coupled so: their stored energy must be positive for all currents, so the matrix of the coefficients
 * must have a Cholesky factor.
 * @param k coefficients row by row, 1 on the diagonal
 */
export function possible(k: readonly (readonly number[])[]): boolean {
  const n = k.length;
  const root = k.map(() => new Array<number>(n).fill(0));
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let left = k[i][j];
      for (let m = 0; m < j; m++) left -= root[i][m] * root[j][m];
      if (i === j && !(left > 0)) return false;
      root[i][j] = i === j ? Math.sqrt(left) : left / root[j][j];
    }
  }
  return true;
}
