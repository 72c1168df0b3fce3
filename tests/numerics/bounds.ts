// The ratchet: beside the tolerance that a claim states, the file `tests/bounds.json` keeps how large its error may be
// as the method stands, half as much again as it was when the file was last written. An error beyond it fails although
// it is within the tolerance: something got worse. `UPDATE_BOUNDS=1 npm run verify:long` writes tighter bounds, never
// wider ones. What is rounding is left room: no bound is below a hundredth of its tolerance or a few last places.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { type Claim, nameOf, type Row } from "./claim.js";

/** Bounds by the name of the claim. */
export type Bounds = Readonly<Record<string, number>>;

const file = join(process.cwd(), "tests", "bounds.json");
const headroom = 1.5;
/** So much better than its bound is worth a word. */
const better = 3;

/** The bounds as they stand. */
export function kept(): Bounds {
  return JSON.parse(readFileSync(file, "utf8")) as Bounds;
}

/** The largest error that passes: the claim's tolerance or, where it is smaller, its bound. */
export function allowed(row: Row, claim: Claim, bounds: Bounds): number {
  return Math.min(claim.bound, bounds[nameOf(row, claim)] ?? claim.bound);
}

/** The bound that an error would be given. */
export function boundFor(claim: Claim, error: number): number {
  const places = 8 * Number.EPSILON * (claim.kind === "absolute" ? Math.abs(Number(claim.expected)) : 1);
  const wanted = Math.max(error * headroom, claim.bound / 100, places);
  return Math.min(claim.bound, Number(wanted.toPrecision(2)));
}

/** True where an error is so much smaller than its bound that the bound could be tightened. */
export function slack(claim: Claim, bound: number, error: number): boolean {
  return error * better < bound && boundFor(claim, error) * better <= bound;
}

/**
 * Writes bounds for what was measured, each the smaller of old and new; claims that are gone are dropped.
 * @returns how many were tightened or added
 */
export function tighten(measured: readonly { row: Row; claim: Claim; error: number }[]): number {
  const old = kept();
  let changed = 0;
  const next: Record<string, number> = {};
  for (const { row, claim, error } of measured) {
    const name = nameOf(row, claim);
    const bound = Math.min(old[name] ?? claim.bound, boundFor(claim, error));
    if (bound !== old[name]) changed++;
    next[name] = bound;
  }
  writeFileSync(file, `${JSON.stringify(next, null, 2)}\n`);
  return changed;
}
