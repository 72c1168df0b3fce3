// Verdicts as a table for a terminal.
// Takes the title and the results; gives lines. Always: columns line up whatever script the names are in, and the
// verdict is a word, so that colour only repeats it.

import type { CheckResult } from "../judging/verify.js";
import {
  byCase,
  caseTitle,
  limitText,
  marginText,
  measuredText,
  noteText,
  summaryText,
} from "../report/verdicts.js";
import { width } from "../syntax/width.js";
import { printable } from "./output.js";

const heads = ["check", "measured", "limit", "margin", "verdict", ""];
/** Columns that are set to the right. */
const right = new Set([1, 3]);

/** The table with its title and its summary, each line ended. */
export function table(title: string, results: readonly CheckResult[], colour: boolean): string {
  const rows = results.map((r) => cells(r));
  const widths = heads.map((head, c) => Math.max(width(head), ...rows.map((row) => width(row[c]))));
  const lines = [printable(title)];
  let at = 0;
  for (const [name, group] of byCase(results)) {
    const head = line(heads, widths);
    lines.push("", paint(printable(caseTitle(name)), "1", colour), paint(`  ${head}`, "2", colour));
    for (const result of group) {
      const row = rows[at++];
      const text = line(
        row,
        widths,
        result.pass ? (v) => paint(v, "32", colour) : (v) => paint(v, "1;31", colour),
      );
      lines.push(`  ${text}`);
    }
  }
  return `${[...lines, "", printable(summaryText(results)), ""].join("\n")}`;
}

function cells(r: CheckResult): string[] {
  const verdict = r.pass ? "pass" : "FAIL";
  return [r.name, measuredText(r, r.measured), limitText(r), marginText(r), verdict, noteText(r)].map(
    printable,
  );
}

function line(row: readonly string[], widths: readonly number[], verdict = (v: string) => v): string {
  const set = row.map((text, c) => {
    const gap = " ".repeat(widths[c] - width(text));
    const shown = c === 4 ? verdict(text) : text;
    return right.has(c) ? gap + shown : shown + gap;
  });
  return set.join("  ").trimEnd();
}

function paint(text: string, code: string, colour: boolean): string {
  return colour ? `\u001b[${code}m${text}\u001b[0m` : text;
}
