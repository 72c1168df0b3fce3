// Readings that cannot all be true, whatever the fault: one place read twice with different results, a floor above a peak, a mean
// outside both, a swing that is negative or not their distance.
import { engineering } from "../base/quantity.js";
import type { StandardWord } from "./columns.js";
import type { TakenReading } from "./readings.js";
import type { SymptomTable } from "./symptomtable.js";

/** Readings that contradict each other. Plain data. */
export interface Conflict {
  /** Their indices in the list. */
  readonly readings: readonly number[];
  /** The conflict in words. */
  readonly text: string;
}

/** A reading of a place, with its largest error. */
interface Placed extends TakenReading {
  readonly number: number;
  readonly off: number;
}

/** Finds contradictory readings. @param accuracy the instrument's largest error, as a share of what it shows */
export function conflictsIn(
  { columns }: SymptomTable,
  readings: readonly TakenReading[],
  accuracy: number,
): Conflict[] {
  const found: Conflict[] = [];
  const placed = readings.map(
    (r, number): Placed => ({
      ...r,
      number,
      off: r.resolution / 2 + accuracy * Math.abs(r.value),
    }),
  );
  const text = ({ column, value }: Placed) => {
    const { what, case: where, unit } = columns[column];
    return `${what}${where === "" ? "" : ` in case "${where}"`} ${engineering(value, unit)}`;
  };
  const say = (all: readonly Placed[], why: string) =>
    found.push({ readings: all.map((r) => r.number), text: `${all.map(text).join(" and ")}: ${why}` });
  for (const [i, a] of placed.entries())
    for (const b of placed.slice(i + 1))
      if (a.column === b.column && Math.abs(a.value - b.value) > 2 * (a.off + b.off))
        say([a, b], "one place was read twice, with different results");
  for (const group of byTrace(columns, placed)) {
    const at = (words: StandardWord) => group.find((r) => columns[r.column].what.startsWith(`${words} of `));
    const [floor, mean, peak, swing] = [at("floor"), at("mean"), at("peak"), at("swing")];
    const above = (low: Placed | undefined, high: Placed | undefined, why: string) => {
      if (low && high && low.value - high.value > 2 * (low.off + high.off)) say([low, high], why);
    };
    above(floor, peak, "a floor lies below its peak");
    above(floor, mean, "a mean lies above the floor");
    above(mean, peak, "a mean lies below the peak");
    if (swing && swing.value + 2 * swing.off < 0) say([swing], "a swing is not below zero");
    if (floor && peak && swing) {
      const off = floor.off + peak.off + swing.off;
      if (Math.abs(peak.value - floor.value - swing.value) > 2 * off)
        say([floor, peak, swing], "a swing is the peak less the floor");
    }
  }
  return found;
}

/** Readings of the four levels, grouped by trace. */
function byTrace(columns: SymptomTable["columns"], placed: readonly Placed[]): Placed[][] {
  const groups = new Map<string, Placed[]>();
  for (const one of placed) {
    const { what, case: where } = columns[one.column];
    const [, target] = /^(?:floor|mean|peak|swing) of (\S+)$/.exec(what) ?? [];
    if (target === undefined) continue;
    const key = `${where}\n${target}`;
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  return [...groups.values()];
}
