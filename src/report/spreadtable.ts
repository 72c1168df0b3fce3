// Results of tolerance trials, as a section of the page: each check with its extremes, its limits, the share of trials that
// pass, and the main causes; beside it the histograms.
import { engineering } from "../base/quantity.js";
import type { Spread, SpreadCheck } from "../spread/summary.js";
import { safe, safeFigure } from "./markup.js";
import { table } from "./tablemarkup.js";
import { limitText, measuredText } from "./verdicts.js";

/** Most causes named. */
const named = 3;
/** A smaller share of the variance is not mentioned. */
const slight = 0.005;

const head = [
  ["check"],
  ["as designed", "n"],
  ["lowest", "n"],
  ["median", "n"],
  ["highest", "n"],
  ["limit"],
  ["trials that pass", "n"],
  ["what costs most"],
];

/** The section as HTML. @param histograms their picture, as SVG */
export function spreadSection(found: Spread, histograms: string): string {
  const about = `${found.trials} trials of the tolerances, seed ${found.seed}; what costs most is told as shares of the variance.`;
  return (
    `<section>\n<h2>Spread</h2>\n<p>${safe(about)}</p>\n${table("Spread", head, found.checks.map(row))}\n` +
    `<details>\n<summary>Histograms with their limits</summary>\n<figure>\n${histograms}</figure>\n</details>\n</section>`
  );
}

function row(check: SpreadCheck): string {
  const median = check.quantiles.find(({ share }) => share === 0.5)?.value;
  const figures = [check.nominal, check.lowest?.value, median, check.highest?.value].map((v) =>
    measuredText(check, v ?? Number.NaN),
  );
  const costs = check.costs
    .slice(0, named)
    .flatMap(({ name, share }) => (share >= slight ? [`${name} ${engineering(share, "%", 3)}`] : []));
  const all = check.pass.share === 1;
  const of = check.case === "" ? "" : `<small>${safe(check.case)}</small>`;
  return (
    `<tr${all ? "" : ' class="bad"'}><td>${safe(check.name)}${of}</td>` +
    figures.map((words) => `<td class="n">${safeFigure(words)}</td>`).join("") +
    `<td>${safeFigure(limitText(check))}</td>` +
    `<td class="n"><span class="${all ? "pass" : "fail"}">${safe(all ? "all" : engineering(check.pass.share, "%", 3))}</span></td>` +
    `<td><small>${safe(costs.join(", "))}</small></td></tr>`
  );
}
