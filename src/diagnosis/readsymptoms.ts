// Reads a saved table of symptoms: checks it, and restores NaN where JSON wrote null.
import { refusal } from "../base/diagnostic.js";
import { readOnce } from "../base/legible.js";
import type { SymptomRow, SymptomTable } from "./symptomtable.js";

/** No value in a table is larger, in SI units, and no factor is smaller than its inverse. */
const largest = 1e15;
/** Tables that have been checked. */
const sound = new WeakSet<object>();

/**
 * Reads back a table of symptoms, from `symptoms` or from JSON.
 *
 * @category Faults
 * @example
 * ```ts
 * const saved = JSON.stringify(symptoms(design));
 * readSymptoms(JSON.parse(saved)).title; // "Nest-box monitor, line sweep"
 * ```
 * @throws DesignError `no-symptoms` for other data
 */
export function readSymptoms(data: unknown): SymptomTable {
  const t = data as SymptomTable;
  if (typeof t === "object" && t !== null && sound.has(t)) return t;
  readOnce("table", data);
  const whole =
    typeof t === "object" &&
    t !== null &&
    typeof t.title === "string" &&
    typeof t.fingerprint === "string" &&
    Number.isSafeInteger(t.missing) &&
    [t.suspects, t.columns, t.rows].every(Array.isArray) &&
    [t.tolerances, t.left, t.measures].every(texts) &&
    t.suspects.every(
      (s) =>
        isObject(s) && texts([s.name, s.kind, s.end ?? ""]) && (s.kind !== "value" || isFactor(s.factor)),
    ) &&
    new Set(t.suspects.map((s) => `${s.kind} ${s.factor} ${s.name}`)).size === t.suspects.length &&
    t.suspects[0]?.kind === "none" &&
    t.columns.every((c) => isObject(c) && texts([c.case, c.what, c.unit, c.shown, c.key]));
  const rows = whole ? t.rows.map((row) => rowOf(row, t)) : [];
  if (!whole || rows.includes(undefined))
    throw refusal("no-symptoms", "this is no table of symptoms", "tables are what 'diagnose --table' keeps");
  const found: SymptomTable = { ...t, rows: rows as SymptomRow[] };
  sound.add(found);
  return found;
}

function rowOf(row: SymptomRow, { suspects, columns, tolerances }: SymptomTable): SymptomRow | undefined {
  if (!isObject(row) || !texts([row.case, row.reason]) || !within(row.suspect, suspects)) return undefined;
  if (!["complete", "stopped", "refused"].includes(row.status)) return undefined;
  const values = numbers(row.values);
  if (
    !values ||
    !Array.isArray(row.columns) ||
    row.columns.length !== values.length ||
    !row.columns.every((c) => within(c, columns))
  )
    return undefined;
  if (row.columns.some((c) => columns[c].case !== row.case)) return undefined;
  const { spread } = row;
  const sized = (one: unknown) =>
    Array.isArray(one) && one.length === tolerances.length && one.every(isAmount);
  if (spread && !(Array.isArray(spread) && spread.length === values.length && spread.every(sized)))
    return undefined;
  return { ...row, values };
}

// A number: "length" too is in every list.
function within(one: unknown, list: readonly unknown[]): boolean {
  return Number.isInteger(one) && (one as number) in list;
}

function isFactor(one: unknown): boolean {
  return isAmount(one) && one > 1 / largest && one !== 1;
}

function isAmount(one: unknown): one is number {
  return typeof one === "number" && Math.abs(one) <= largest;
}

function isObject(one: unknown): boolean {
  return typeof one === "object" && one !== null;
}

function texts(all: unknown): boolean {
  return Array.isArray(all) && all.every((one) => typeof one === "string");
}

function numbers(list: unknown): readonly number[] | undefined {
  if (!Array.isArray(list) || !list.every((v) => v === null || Number.isNaN(v) || isAmount(v)))
    return undefined;
  return list.map((v) => (v === null ? Number.NaN : (v as number)));
}
