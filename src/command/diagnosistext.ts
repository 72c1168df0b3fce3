// A diagnosis as lines of text: the readings, what explains them, where to look next.
import { enumerated } from "../base/quantity.js";
import type { Accusation } from "../diagnosis/accused.js";
import { columnText, type SymptomColumn } from "../diagnosis/columns.js";
import type { NextLook } from "../diagnosis/nextlook.js";
import type { Diagnosis } from "../diagnosis/ranking.js";
import type { TakenReading } from "../diagnosis/readings.js";
import type { SymptomTable } from "../diagnosis/symptomtable.js";
import { columns as table } from "./table.js";

/** Most explanations listed. */
const most = 8;
/** Shares below this are not shown. */
const least = 0.005;
/** Most faults of a tie that are named. */
const named = 6;

/** What the readings say about a board. */
export function diagnosisLines(
  { title, columns, left }: SymptomTable,
  taken: readonly TakenReading[],
  { candidates, explained, contradictions, next, unknown }: Diagnosis,
): string[] {
  const [best] = candidates;
  const where = (name: string) => (name === "" ? "" : ` in case "${name}"`);
  const rows = taken.map(({ column, value }, i) => {
    const { what, case: name } = columns[column];
    const shown = (v: number) => shownAs(columns[column], v);
    return [`  ${what}${where(name)}`, shown(value), shown(best.expected[i])];
  });
  const lines = [title, ""];
  if (rows.length > 0)
    lines.push(...table([["  read", "shown", "with the likeliest"], ...rows], new Set([1, 2])), "");
  for (const { text } of contradictions) lines.push(`These readings contradict each other: ${text}.`);
  if (contradictions.length > 0) lines.push("");
  if (taken.length > 0 && !explained) {
    lines.push("Nothing single explains these readings. What comes nearest:");
  }
  if (taken.length > 0) {
    const shown = candidates.slice(0, most).filter(({ weight }, i) => i === 0 || weight >= least);
    for (const { faults, weight } of shown) {
      const share = `${(100 * weight).toFixed(weight < 0.0995 ? 1 : 0)} %`;
      const more = faults.length > named ? ` and ${faults.length - named} more` : "";
      lines.push(
        `  ${share.padStart(6)}  ${faults.slice(0, named).map(accusationText).join(", or ")}${more}`,
      );
    }
    lines.push("");
  }
  const column = columns.find((c) => c.what === next[0]?.what && c.case === next[0].case);
  lines.push(...nextLines(next, column, taken.length > 0));
  if (unknown.length > 0)
    lines.push("", `Not known, since it cannot be simulated: ${unknown.map(accusationText).join(", ")}.`);
  if (left.length > 0) lines.push("", `Cases left out: ${left.map((name) => `"${name}"`).join(", ")}.`);
  return lines;
}

/** @param column the column of the first look */
function nextLines(next: readonly NextLook[], column: SymptomColumn | undefined, read: boolean): string[] {
  if (!column) return read ? ["No further look would tell more."] : [];
  const [first] = next;
  const rows = next.map(({ what, case: name, gain }) => [
    `  ${what}${name === "" ? "" : ` in case "${name}"`}`,
    `${gain.toFixed(2)} bit`,
  ]);
  const expected = first.expected.map(
    ({ fault, value }) => `${shownAs(column, value)} with ${accusationText(fault)}`,
  );
  return [
    ...table([[read ? "Look next at" : "Look first at", "tells"], ...rows], new Set([1])),
    `The first of these would show ${expected.join(", ")}.`,
    ...togetherLines(first),
  ];
}

/** What else the first look shows, so that whoever stands there anyway reads it too. */
function togetherLines({ of, figures, together }: NextLook): string[] {
  if (figures.length < 2) return [];
  const words = figures.map((one) => one.slice(0, -` of ${of}`.length));
  return [
    `One look there with an oscilloscope shows ${enumerated(words, "and")}, and all count as readings: together ${together.toFixed(2)} bit.`,
  ];
}

function shownAs(column: SymptomColumn, value: number): string {
  return Number.isNaN(value) ? "nothing" : columnText(column, value);
}

/** A fault in words: `hold open`, `hold too large, about 2.1 times`. */
export function accusationText({ name, kind, factor }: Accusation): string {
  if (kind === "none") return "nothing failed";
  if (factor === undefined) return `${name} ${kind}`;
  return `${name}${kind === "low" ? "" : "'s"} ${kind}, at about ${Number(factor.toPrecision(2))} times`;
}
