// The stress of a run on its parts as a table of the page, with the ratings and how much of them is used.
import { engineering } from "../base/quantity.js";
import type { PartStress, Stress } from "../judging/stresses.js";
import { safe, safeFigure } from "./markup.js";
import { table } from "./tablemarkup.js";

const units = { power: "W", current: "A", voltage: "V" } as const;

/** A cell: its words as HTML. */
type Cell = string;

/** The columns: heading, alignment, and what each says about a part; a column that is empty for every part is left out. */
const columns: readonly (readonly [string, "n" | "k" | "", (stress: PartStress) => Cell])[] = [
  ["part", "k", ({ part, kind }) => `${safe(part)}<small>${safe(kind)}</small>`],
  ["power, mean", "n", ({ power }) => figure(power.mean, "W")],
  ["peak", "n", ({ power }) => figure(power.peak.value, "W")],
  ["at", "n", ({ power }) => figure(power.peak.at, "s", 5)],
  ["current, rms", "n", ({ current }) => figure(current.rms, "A")],
  ["peak", "n", ({ current }) => figure(current.peak.value, "A")],
  ["voltage, peak", "n", ({ voltage }) => figure(voltage.peak.value, "V")],
  ["reverse", "n", ({ voltage: { reverse } }) => (reverse.value > 0 ? figure(reverse.value, "V") : "")],
  ["rated", "", each(({ of, size, limit }) => `${figure(limit, units[of])} ${safe(size)}`)],
  ["used", "n", each(({ used }) => figure(used, "%"))],
  [
    "verdict",
    "",
    each(({ pass }) => `<span class="${pass ? "pass" : "fail"}">${pass ? "pass" : "FAIL"}</span>`),
  ],
];

/** The table as HTML. @param run the name of the run */
export function stressTable(found: Stress, run: string): string {
  const shared =
    found.shared.times === 0
      ? ""
      : `\n<p><small>Charge or flux was shared at an instant ${found.shared.times} times: what ideal parts carried there has no bound.</small></p>`;
  const said = columns.filter(([, , cell]) => found.parts.some((part) => cell(part) !== ""));
  const rows = found.parts.map((part) => {
    const cells = said.map(([, set, cell]) => `<td${set === "" ? "" : ` class="${set}"`}>${cell(part)}</td>`);
    const good = part.ratings.every(({ pass }) => pass);
    return `<tr${good ? "" : ' class="bad"'}>${cells.join("")}</tr>`;
  });
  const head = said.map(([word, set]) => (set === "n" ? [word, set] : [word]));
  return table(`Stress: ${run}`, head, rows) + shared;
}

function figure(value: number, unit: string, figures = 3): Cell {
  return safeFigure(engineering(value, unit, figures));
}

/** One line for each rating of a part. */
function each(cell: (rating: PartStress["ratings"][number]) => Cell): (stress: PartStress) => Cell {
  return ({ ratings }) => ratings.map(cell).join("<br>");
}
