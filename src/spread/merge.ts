// Merges slices of trials: every trial is kept, whatever the order of merging.

import { refusal } from "../base/diagnostic.js";
import { handed, handedAll } from "../base/handed.js";
import { readOnce } from "../base/legible.js";
import type { Trials } from "./trials.js";

/**
 * Merges slices into one; the work grows with the trials, not with the number of slices.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const half = trials(design, { trials: { from: 0, to: 5 }, seed: 1 });
 * const rest = trials(design, { trials: { from: 5, to: 10 }, seed: 1 });
 * summarise(merge(half, rest)).trials; // 10
 * ```
 * @throws DesignError `different-trials` or `overlapping-trials`
 */
export function merge(first: Trials, ...others: readonly Trials[]): Trials {
  handed("trials", first, "first");
  handedAll("trials", others, "others");
  for (const other of others) refuseOther(first, other);
  const all = [first, ...others];
  refuseOverlap(all);
  const stretches = all.flatMap(stretchesOf).sort((a, b) => a.from - b.from);
  const slices: [number, number][] = [];
  for (const { from, to } of stretches) {
    const last = slices[slices.length - 1];
    if (last && last[1] === from) last[1] = to;
    else slices.push([from, to]);
  }
  return {
    ...first,
    slices,
    measured: first.checks.map((_, k) => {
      const list: number[] = [];
      for (const { one, at, from, to } of stretches)
        for (let i = 0; i < to - from; i++) list.push(one.measured[k][at + i]);
      return list;
    }),
    missing: all.flatMap((one) => one.missing).sort((a, b) => a.trial - b.trial),
  };
}

/** A row of trials, and the position of the first in the lists of their slice. */
interface Stretch {
  readonly one: Trials;
  readonly from: number;
  readonly to: number;
  readonly at: number;
}

function stretchesOf(one: Trials): Stretch[] {
  let at = 0;
  return one.slices.map(([from, to]) => {
    at += to - from;
    return { one, from, to, at: at - (to - from) };
  });
}

function refuseOther(a: Trials, b: Trials): void {
  if (a.fingerprint !== b.fingerprint)
    throw refusal(
      "different-trials",
      `the slices are of different designs or options: "${a.title}" (${a.fingerprint}) and "${b.title}" (${b.fingerprint})`,
      "run both with the same design, case, checks and temperatures",
    );
  if (a.seed !== b.seed)
    throw refusal("different-trials", `the slices have different seeds, ${a.seed} and ${b.seed}`);
}

function refuseOverlap(all: readonly Trials[]): void {
  const rising = all.flatMap((one) => one.slices).sort((a, b) => a[0] - b[0]);
  // Of the slices so far, in order, the one that reaches furthest: the next may start within it.
  let furthest: Trials["slices"][number] | undefined;
  for (const next of rising) {
    if (furthest && next[0] < furthest[1]) {
      const [low, high] = [next[0], Math.min(next[1], furthest[1]) - 1];
      const which = low === high ? `trial ${low} is` : `trials ${low} to ${high} are`;
      throw refusal("overlapping-trials", `${which} in two slices`, "leave one of them out");
    }
    if (!furthest || next[1] > furthest[1]) furthest = next;
  }
}

/**
 * Trials from parsed JSON, in which missing values are null.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const saved = JSON.stringify(trials(design, { trials: 5, seed: 1 }));
 * readTrials(JSON.parse(saved)).seed; // 1
 * ```
 * @throws DesignError `no-trials` for other data
 */
export function readTrials(data: unknown): Trials {
  const t = data as Trials;
  readOnce("trials", data);
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
    t.axes.every(
      (a) =>
        typeof a?.name === "string" &&
        typeof a.distribution?.shape === "string" &&
        (a.inCases === undefined || Array.isArray(a.inCases)),
    ) &&
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
