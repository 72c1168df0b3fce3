// Slices of trials put together: what stands in them is kept, trial by trial, in whatever order they are merged.

import { refusal } from "../base/diagnostic.js";
import { handed } from "../base/handed.js";
import { Log, type Trials, trialNumbers } from "./trials.js";

/**
 * Two slices as one.
 * @throws DesignError `different-trials` or `overlapping-trials`
 */
export function merge(a: Trials, b: Trials): Trials {
  handed("trials", a, "a");
  handed("trials", b, "b");
  if (a.fingerprint !== b.fingerprint)
    throw refusal(
      "different-trials",
      `the slices are of different designs or options: "${a.title}" (${a.fingerprint}) and "${b.title}" (${b.fingerprint})`,
      "run both with the same design, case, checks and temperatures",
    );
  if (a.seed !== b.seed)
    throw refusal("different-trials", `the slices have different seeds, ${a.seed} and ${b.seed}`);
  for (const [from, to] of a.slices)
    for (const [first, end] of b.slices) {
      if (first >= to || end <= from) continue;
      const [low, high] = [Math.max(first, from), Math.min(end, to) - 1];
      const which = low === high ? `trial ${low} is` : `trials ${low} to ${high} are`;
      throw refusal("overlapping-trials", `${which} in both slices`, "leave one of them out");
    }
  const log = new Log(a, a.seed, { measured: a.nominal, values: a.nominal });
  for (const one of [a, b]) {
    const reasons = new Map(one.missing.map(({ trial, reason }) => [trial, reason]));
    trialNumbers(one.slices).forEach((trial, i) => {
      const measured = one.measured.map((values) => values[i]);
      log.add(trial, { measured, values: measured, reason: reasons.get(trial) });
    });
  }
  return log.trials();
}

/**
 * Trials from the data that JSON gives, in which what is missing is null.
 * @throws DesignError `no-trials` for data that is none
 */
export function readTrials(data: unknown): Trials {
  const t = data as Trials;
  const sound =
    typeof t === "object" &&
    t !== null &&
    typeof t.fingerprint === "string" &&
    typeof t.title === "string" &&
    Number.isInteger(t.seed) &&
    [t.axes, t.checks, t.slices, t.measured, t.missing, t.nominal].every(Array.isArray) &&
    t.slices.every(
      (s, i) =>
        Array.isArray(s) &&
        Number.isSafeInteger(s[0]) &&
        Number.isSafeInteger(s[1]) &&
        s[0] >= 0 &&
        s[0] < s[1] &&
        (i === 0 || s[0] > t.slices[i - 1][1]),
    ) &&
    t.axes.every((a) => typeof a?.name === "string" && typeof a.distribution?.shape === "string") &&
    t.checks.every((c) => typeof c?.name === "string" && typeof c.limit === "object" && c.limit !== null) &&
    t.missing.every((m) => Number.isSafeInteger(m?.trial) && typeof m.reason === "string") &&
    t.measured.length === t.checks.length &&
    t.nominal.length === t.checks.length;
  const count = sound ? t.slices.reduce((sum, [from, to]) => sum + to - from, 0) : 0;
  const numbers = (list: readonly unknown[]): readonly number[] | undefined =>
    Array.isArray(list) && list.every((v) => v === null || typeof v === "number")
      ? list.map((v) => (v === null ? Number.NaN : (v as number)))
      : undefined;
  const nominal = sound ? numbers(t.nominal) : undefined;
  const measured = sound ? t.measured.map(numbers) : [];
  if (!nominal || measured.some((list) => list?.length !== count))
    throw refusal("no-trials", "this is no slice of trials", "slices are what 'spread --out' writes");
  return { ...t, nominal, measured: measured as readonly (readonly number[])[] };
}
