// A design without the parts that cannot affect what checks measure: the way of the picture does not matter to the sweeps. What
// the checks measure stays the same but for rounding. Where it is unknown what affects a target, or little would be saved, the
// design stays whole.
import type { CheckSpec, Design } from "../design/design.js";
import { Influence } from "./influence.js";

/** From this number of parts on it pays to look for those to leave out. */
const worthwhile = 24;

/**
 * The parts of a design that checks depend on.
 * @param failed full name of a part that has failed in any way
 */
export function excerpt(
  design: Design,
  checks: readonly Pick<CheckSpec, "target" | "each">[],
  failed?: string,
): Design {
  const { parts, run } = design;
  if (checks.length === 0 || parts.length < worthwhile) return design;
  const number = failed === undefined ? -1 : parts.findIndex((p) => p.name === failed);
  const influence = new Influence(design);
  const needed = new Set<number>();
  for (const check of checks) {
    const moving = influence.of(check, number < 0 ? undefined : number);
    if (!moving) return design;
    for (const part of moving) needed.add(part);
  }
  // A settled start looks for a common period of all signals, whatever depends on them.
  const kept = parts.filter((p, i) => needed.has(i) || (p.wave && run.start === "settled"));
  return kept.length === parts.length ? design : { ...design, parts: kept, cases: [] };
}
