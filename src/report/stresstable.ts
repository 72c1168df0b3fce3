// What a run asks of its parts as a table of the page, with what is rated and what of it is used.
import { engineering } from "../base/quantity.js";
import type { PartStress, Stress } from "../judging/stresses.js";
import { safe } from "./markup.js";
import { table } from "./tablemarkup.js";

const head = [
  ["part"],
  ["power, mean", "n"],
  ["peak", "n"],
  ["at", "n"],
  ["current, rms", "n"],
  ["peak", "n"],
  ["voltage, peak", "n"],
  ["reverse", "n"],
  ["rated"],
  ["used", "n"],
  ["verdict"],
];

/** The table as HTML. @param run whose it is, in words */
export function stressTable(found: Stress, run: string): string {
  const shared =
    found.shared.times === 0
      ? ""
      : `\n<p><small>Charge or flux was shared at an instant ${found.shared.times} times: what ideal parts carried there has no bound.</small></p>`;
  return table(`Stress: ${run}`, head, found.parts.map(row)) + shared;
}

function row({ part, kind, power, current, voltage, ratings }: PartStress): string {
  const figures = [
    engineering(power.mean, "W", 3),
    engineering(power.peak.value, "W", 3),
    engineering(power.peak.at, "s", 5),
    engineering(current.rms, "A", 3),
    engineering(current.peak.value, "A", 3),
    engineering(voltage.peak.value, "V", 3),
    voltage.reverse.value > 0 ? engineering(voltage.reverse.value, "V", 3) : "",
  ];
  const units = { power: "W", current: "A", voltage: "V" } as const;
  const lines = (of: (rating: PartStress["ratings"][number]) => string) => ratings.map(of).join("<br>");
  const good = ratings.every(({ pass }) => pass);
  return (
    `<tr${good ? "" : ' class="bad"'}><td class="k">${safe(part)}<small>${safe(kind)}</small></td>` +
    figures.map((words) => `<td class="n">${safe(words)}</td>`).join("") +
    `<td>${lines(({ of, size, limit }) => safe(`${engineering(limit, units[of], 3)} ${size}`))}</td>` +
    `<td class="n">${lines(({ used }) => safe(engineering(used, "%", 3)))}</td>` +
    `<td>${lines(({ pass }) => (pass ? '<span class="pass">pass</span>' : '<span class="fail">FAIL</span>'))}</td></tr>`
  );
}
