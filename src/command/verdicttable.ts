// Verdicts as a table for a terminal, case by case, with each case's shown figures below.
import type { ShownFigure } from "../judging/shownfigures.js";
import type { CheckResult } from "../judging/verify.js";
import {
  byCase,
  caseTitle,
  figureNote,
  limitText,
  marginText,
  measuredText,
  noteText,
  summaryText,
} from "../report/verdicts.js";
import { printable } from "./output.js";
import { asTyped } from "./refusal.js";
import { columns, type Painted, paint } from "./table.js";

/** The results of a design: its verdicts and its figures, and its cases in order. */
interface Found {
  readonly loaded: { readonly design: { readonly cases: readonly { readonly caseName: string }[] } };
  readonly results: readonly CheckResult[];
  readonly figures: readonly ShownFigure[];
}

const heads = ["check", "measured", "limit", "margin", "verdict", ""];
const right = new Set([1, 3]);
const [bold, dim, green, red] = ["1", "2", "32", "1;31"];

/** The table with its title and its summary, each line terminated. */
export function verdictTable(title: string, found: Found, colour: boolean): string {
  const ink = (code: string) => (colour ? code : undefined);
  const [judged, shown] = [byCase(found.results), byCase(found.figures)];
  const cases = ["", ...found.loaded.design.cases.map((one) => one.caseName)];
  const groups = cases.flatMap((name): [string, Painted[][]][] => {
    const verdicts = (judged.get(name) ?? []).map((one) => cells(one, ink));
    const figures = (shown.get(name) ?? []).map((one) => figureCells(one, ink));
    return verdicts.length + figures.length === 0 ? [] : [[name, [...verdicts, ...figures]]];
  });
  // One table for all cases, so that their columns line up.
  const rows = columns([heads, ...groups.flatMap(([, group]) => group)], right);
  const lines = [printable(title)];
  let at = 1;
  for (const [name, group] of groups) {
    lines.push("", paint(printable(caseTitle(name)), ink(bold)), paint(`  ${rows[0]}`, ink(dim)));
    for (const end = at + group.length; at < end; at++) lines.push(`  ${rows[at]}`);
  }
  return `${[...lines, "", printable(summaryText(found.results)), ""].join("\n")}`;
}

function cells(r: CheckResult, ink: (code: string) => string | undefined): Painted[] {
  const verdict = { text: r.pass ? "pass" : "FAIL", colour: ink(r.pass ? green : red) };
  const [name, measured, limit, margin, note] = [
    r.name,
    measuredText(r, r.measured),
    limitText(r),
    marginText(r),
    asTyped(noteText(r)),
  ].map((text): Painted => ({ text: printable(text) }));
  return [name, measured, limit, margin, verdict, note];
}

function figureCells(figure: ShownFigure, ink: (code: string) => string | undefined): Painted[] {
  const [name, text, note] = [figure.name, figure.text, figureNote(figure)].map(
    (one): Painted => ({ text: printable(one) }),
  );
  const none = { text: "" };
  return [name, text, none, none, { text: "shown", colour: ink(dim) }, note];
}
