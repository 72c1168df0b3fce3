// From readings to the fault: every single fault ranked by how well it explains them all, with those that they do not tell apart
// in one group, and where to look next.

import { asked, refuseOption } from "../base/asked.js";
import { exponential } from "../base/powers.js";
import { normalQuantile } from "../spread/normal.js";
import { type Accusation, type Accused, between, Expectations, type Foreseen, factorAt } from "./accused.js";
import { type Conflict, conflictsIn } from "./conflicts.js";
import { type FaultWay, type Judged, judged } from "./likelihood.js";
import { entropyOf, type NextLook, nextLooks, type Remaining, weightOf } from "./nextlook.js";
import { type Reading, takenReadings } from "./readings.js";
import { readSymptoms } from "./readsymptoms.js";
import { overlapOf } from "./splitting.js";
import type { SymptomTable } from "./symptomtable.js";

/** How to judge readings. */
export interface DiagnoseOptions {
  /** The instrument's largest error, as a share of what it shows; default: 0.01. */
  readonly accuracy?: number;
}

/** Faults that explain the readings equally well. Plain data. */
export interface Candidate {
  /** The likeliest first, but "nothing failed" before any other; the readings do not tell several of them apart. */
  readonly faults: readonly Accusation[];
  /** Probability that it is one of them, if there is a single fault and all are equally probable beforehand. */
  readonly weight: number;
  /** How far the readings are from what the first of them shows: root mean square, in standard deviations. */
  readonly misfit: number;
  /** What the first of them shows for each reading, in their order, SI units; NaN where it is not known. */
  readonly expected: readonly number[];
}

/** What readings tell. Plain data. */
export interface Diagnosis {
  /** Every single fault, best explanation first. */
  readonly candidates: readonly Candidate[];
  /** False where no single fault explains the readings: even the best is too far from them. */
  readonly explained: boolean;
  /** Readings that cannot all be true, whatever the fault. */
  readonly contradictions: readonly Conflict[];
  /** Uncertainty left, bits: 0 where a single fault remains. */
  readonly entropy: number;
  /** Where to look next, best first; empty where no look would tell more. */
  readonly next: readonly NextLook[];
  /** Faults of which nothing is known, since their circuit could not be simulated. */
  readonly unknown: readonly Accusation[];
}

/** Likelihoods within this factor of each other are not told apart ("not worth more than a bare mention"). */
const alike = 3;
/** Its logarithm, for comparisons at the best factor. */
const closest = Math.log(alike);
/** Likelihoods at the best factor that differ by more than this (logarithm) are not compared further. */
const farApart = 20;
/** A fault less likely than the best by this factor is ruled out. */
const ruledOut = 150;
/** The share of readings of the true fault that are called unexplained. */
const falseAlarm = 0.001;
/** Steps up to the largest value an instrument sees: 8 bits for both signs, on a range that is four fifths filled. */
const steps = 100;

/**
 * Ranks single faults by readings. Faults form one group where likelihoods differ by less than a factor of three (R. E. Kass, A.
 * E. Raftery, J. Am. Stat. Assoc. 90, 1995), and where such readings are expected to tell them apart by no more than that.
 *
 * @category Faults
 * @example
 * ```ts
 * const { candidates } = diagnose(symptoms(design), [
 *   { what: "peak of ramp", value: "5.6 V" },
 *   { what: "swing of ramp", value: "0.0 V" },
 *   { what: "peak of gate", value: "5.0 V" },
 * ]);
 * candidates[0].faults.map(({ kind, name }) => `${name} ${kind}`); // ["reset open"]
 * ```
 * @throws DesignError `bad-option`, `unknown-reading`, `wrong-dimension`, `no-symptoms`
 */
export function diagnose(
  given: SymptomTable,
  readings: readonly Reading[],
  options: DiagnoseOptions = {},
): Diagnosis {
  asked(options, { accuracy: "number" });
  const { accuracy = 0.01 } = options;
  if (!(accuracy >= 0 && accuracy < 1)) refuseOption("accuracy", "a share from 0 to below 1");
  const table = readSymptoms(given);
  const taken = takenReadings(table, readings);
  const expectations = Expectations.from(table);
  const columns = taken.map((r) => r.column);
  const widths = columns.map((column) => widthOf(expectations, column));
  const usual = (column: number) => Math.abs(expectations.of(0, column)?.value || 0);
  const sizes = columns.map(usual);
  const able = expectations.accused.filter((one) => knownAnywhere(expectations, one));
  const all = able
    .map((one) => judged(one, expectations, taken, { accuracy, widths, sizes }))
    .sort((a, b) => b.likelihood - a.likelihood);
  const [best] = all;
  const weights = weightsOf(all);
  const left = remaining(all, weights, expectations);
  return {
    candidates: grouped(all, weights, {
      shown: (one) => columns.map((column) => shownBy(one.accused, one, expectations, column)),
      scatter: taken.map(({ value, resolution }) => resolution ** 2 / 12 + (accuracy * value) ** 2 / 3),
    }),
    explained: best !== undefined && best.misfit <= mostMisfit(best.known),
    contradictions: conflictsIn(table, taken, accuracy),
    entropy: entropyOf(left.map(weightOf)),
    next: nextLooks(table, { left, usual, done: new Set(columns) }, { accuracy, steps }),
    unknown: expectations.accused
      .filter((one) => !able.includes(one))
      .map(({ name, kind }) => ({ name, kind })),
  };
}

/** The largest misfit of the true fault but for false alarms: χ² by its cube root (E. B. Wilson, M. M. Hilferty, 1931). */
function mostMisfit(known: number): number {
  if (known === 0) return 0;
  const part = 2 / (9 * known);
  return known * (1 - part + normalQuantile(1 - falseAlarm) * Math.sqrt(part)) ** 3;
}

function weightsOf(all: readonly Judged[]): number[] {
  const raw = all.map((one) => exponential(one.likelihood - all[0].likelihood));
  const sum = raw.reduce((s, w) => s + w, 0);
  return raw.map((w) => w / sum);
}

/** The faults that are not ruled out, a value in each way in which it may be off. */
function remaining(
  all: readonly Judged[],
  weights: readonly number[],
  expectations: Expectations,
): Remaining[] {
  const kept = all.filter((_, i) => weights[i] * ruledOut >= weights[0]);
  const sum = kept.reduce((s, _, i) => s + weights[i], 0);
  return kept.map((one, i) => {
    const ways = one.ways.filter(({ weight }) => weight > 1 / ruledOut);
    const rest = ways.reduce((s, { weight }) => s + weight, 0);
    return {
      fault: accusationOf(one),
      ways: ways.map((way) => ({
        weight: (weights[i] / sum) * (way.weight / rest),
        at: (column) => shownBy(one.accused, way, expectations, column),
      })),
    };
  });
}

/** What each of those judged shows for the readings, and the variance that the instrument adds. */
interface Read {
  readonly shown: (one: Judged) => readonly (Foreseen | undefined)[];
  readonly scatter: readonly number[];
}

function grouped(all: readonly Judged[], weights: readonly number[], { shown, scatter }: Read): Candidate[] {
  const found: Candidate[] = [];
  const waiting = new Set(all.keys());
  for (const i of waiting) {
    const seen = shown(all[i]);
    const near = (k: number) =>
      weights[k] * alike > weights[i] ||
      all[k].top + closest > all[i].top ||
      // Nor are those told apart whose readings are expected to differ by no more than that.
      (all[k].top + farApart > all[i].top && overlapOf(seen, shown(all[k]), scatter) < closest / 4);
    const sound = (k: number) => Number(all[k].accused.kind === "none");
    const members = [...waiting].filter((k) => k === i || near(k)).sort((a, b) => sound(b) - sound(a));
    const [lead] = members;
    for (const k of members) waiting.delete(k);
    found.push({
      faults: members.map((k) => accusationOf(all[k])),
      weight: members.reduce((s, k) => s + weights[k], 0),
      misfit: Math.sqrt(all[lead].misfit / Math.max(1, all[lead].known)),
      expected: shown(all[lead]).map((one) => one?.value ?? Number.NaN),
    });
  }
  return found;
}

function accusationOf({ accused, piece, share }: Judged): Accusation {
  const { name, kind, places } = accused;
  if (places.length === 0) return { name, kind };
  return { name, kind, factor: Number(factorAt(accused, piece, share).toPrecision(3)) };
}

/** What one of those judged shows in a column, in one of its ways. */
function shownBy(
  accused: Accused,
  { piece, share }: Omit<FaultWay, "weight">,
  from: Expectations,
  column: number,
): Foreseen | undefined {
  const a = from.at(accused, piece, column);
  return accused.nodes.length === 1 ? a : between(a, from.at(accused, piece + 1, column), share);
}

function knownAnywhere(from: Expectations, { nodes }: Accused): boolean {
  return nodes.every((node) =>
    from.table.rows.some((row) => row.suspect === node && row.status === "complete"),
  );
}

/** The range of values in a column over the whole table; a little where all are equal. */
function widthOf(from: Expectations, column: number): number {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const node of from.table.suspects.keys()) {
    const value = from.of(node, column)?.value ?? Number.NaN;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  const wide = high - low;
  return wide > 0 ? wide : Math.max(Math.abs(low), 1e-9);
}
