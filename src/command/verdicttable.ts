// Verdicts as a table for a terminal, case by case.
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
import { printable } from "./output.js";
import { columns, type Painted, paint } from "./table.js";

const heads = ["check", "measured", "limit", "margin", "verdict", ""];
const right = new Set([1, 3]);
const [bold, dim, green, red] = ["1", "2", "32", "1;31"];

/** The table with its title and its summary, each line ended. */
export function verdictTable(title: string, results: readonly CheckResult[], colour: boolean): string {
  const ink = (code: string) => (colour ? code : undefined);
  const groups = [...byCase(results)];
  // All cases in one table, so that their columns line up.
  const rows = columns([heads, ...groups.flatMap(([, group]) => group.map((one) => cells(one, ink)))], right);
  const lines = [printable(title)];
  let at = 1;
  for (const [name, group] of groups) {
    lines.push("", paint(printable(caseTitle(name)), ink(bold)), paint(`  ${rows[0]}`, ink(dim)));
    for (const end = at + group.length; at < end; at++) lines.push(`  ${rows[at]}`);
  }
  return `${[...lines, "", printable(summaryText(results)), ""].join("\n")}`;
}

function cells(r: CheckResult, ink: (code: string) => string | undefined): Painted[] {
  const verdict = { text: r.pass ? "pass" : "FAIL", colour: ink(r.pass ? green : red) };
  const [name, measured, limit, margin, note] = [
    r.name,
    measuredText(r, r.measured),
    limitText(r),
    marginText(r),
    noteText(r),
  ].map((text): Painted => ({ text: printable(text) }));
  return [name, measured, limit, margin, verdict, note];
}
