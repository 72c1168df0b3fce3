// Spreads and worst cases in words for a terminal. A failure is printed with the values that cause it.
import { engineering } from "../base/quantity.js";
import type { CheckHeading } from "../design/heading.js";
import { limitText, measuredText } from "../report/verdicts.js";
import type { Cause, Spread } from "../spread/summary.js";
import { axisWords } from "../spread/tolerances.js";
import type { WorstCase } from "../spread/worst.js";
import { columns } from "./table.js";

/** Most axes named as main causes, and most named behind an extreme. */
const named = 3;
const listed = 8;
/** A smaller share of the variance is not mentioned. */
const slight = 0.005;

/** The results of trials. */
export function spreadLines(s: Spread): string[] {
  const rows = [["check", "nominal", "lowest", "1 %", "median", "99 %", "highest", "limit", "pass"]];
  for (const c of s.checks) {
    const at = (share: number) => c.quantiles.find((q) => q.share === share)!.value;
    const values = [c.nominal, c.lowest?.value, at(0.01), at(0.5), at(0.99), c.highest?.value];
    const { share, low, high } = c.pass;
    rows.push([
      label(c),
      ...values.map((v) => shown(c, v)),
      limitText(c),
      share === 1
        ? `all of them (${percent(low)} or more)`
        : `${percent(share)} (${percent(low)} to ${percent(high)})`,
    ]);
  }
  const lines = [s.title, about(s), "", ...table(rows), "", "  what costs most, as shares of the variance"];
  lines.push(
    ...table(
      s.checks.map((c) => [
        label(c),
        c.costs
          .slice(0, named)
          .flatMap((cost) => (cost.share >= slight ? [`${cost.name} ${percent(cost.share)}`] : []))
          .join(", "),
      ]),
      new Set(),
    ),
  );
  for (const c of s.checks) {
    if (c.pass.count === c.pass.of) continue;
    lines.push("", `  ${label(c)} does not always pass; values, and where in their tolerances they stand:`);
    const extremes = { lowest: c.lowest, highest: c.highest };
    for (const [which, one] of Object.entries(extremes))
      if (one)
        lines.push(
          `    ${which} ${shown(c, one.value)} in trial ${one.trial}: ${causes(one.causes, c.costs, true)}`,
        );
    if (c.missing > 0) lines.push(`    no value in ${c.missing} trials`);
  }
  const [first] = s.missing;
  if (first) {
    const more = s.missing.length > 1 ? ` (and ${s.missing.length - 1} more)` : "";
    lines.push("", `  trial ${first.trial}${more}: ${first.reason}`);
  }
  return lines;
}

export function worstLines(w: WorstCase): string[] {
  const rows = [["check", "nominal", "lowest", "highest", "root of squares", "limit", "verdict"]];
  for (const c of w.checks)
    rows.push([
      label(c),
      ...[c.nominal, c.lowest?.value, c.highest?.value].map((v) => shown(c, v)),
      `${shown(c, c.squares.low)} to ${shown(c, c.squares.high)}${c.squares.adds ? "" : " *"}`,
      limitText(c),
      c.pass ? "pass" : "FAIL",
    ]);
  const how =
    w.method === "corners"
      ? `all ${w.corners} corners of ${w.axes.length} values`
      : `the corners that ${w.axes.length} values point to, each alone (of 2^${w.axes.length}; --exact runs all up to 2^20)`;
  const lines = [
    w.title,
    `${how}; ${w.runs} places in all${w.within > 0 ? `, ${w.within} of them between the ends` : ""}${temperature(w)}`,
    "",
    ...table(rows),
    "",
    "  what each does alone",
  ];
  lines.push(
    ...table(
      w.checks.map((c) => [
        label(c),
        c.effects
          .slice(0, named)
          .flatMap((e) =>
            e.share > 0 ? [`${e.name} ${percent(e.share)} (${shown(c, e.low)} to ${shown(c, e.high)})`] : [],
          )
          .join(", "),
      ]),
      new Set(),
    ),
  );
  if (w.checks.some((c) => !c.squares.adds))
    lines.push(
      "",
      "  * what each does does not add up: bounded by the lowest and the highest that were measured",
    );
  for (const c of w.checks) {
    if (c.pass) continue;
    const where =
      c.failing > 0 ? `${c.failing} of the corners that were run` : "none of the corners, but between them";
    lines.push("", `  ${label(c)} fails at ${where}`);
    for (const [which, one] of Object.entries({ lowest: c.lowest, highest: c.highest }))
      if (one) lines.push(`    ${which} ${shown(c, one.value)}: ${causes(one.causes, c.effects, false)}`);
    if (c.reason !== undefined) lines.push(`    no value at some: ${c.reason}`);
  }
  return lines;
}

function about(s: Spread): string {
  const which = s.slices.map(([from, to]) => (to === from + 1 ? String(from) : `${from} to ${to - 1}`));
  const some = which.length > 4 ? [...which.slice(0, 4), `and ${which.length - 4} more stretches`] : which;
  const numbers = s.trials === 0 ? "" : ` (${some.join(", ")})`;
  const what = s.axes.map((axis) => {
    const tracked = axis.tracked.length > 0 ? ` with ${axis.tracked.join(", ")}` : "";
    return axisWords(axis) + tracked;
  });
  return `${s.trials} trials${numbers}, seed ${s.seed}${temperature(s)}; what varies: ${what.join(", ")}`;
}

function temperature({ temperature: t }: Pick<Spread, "temperature">): string {
  return t ? `, temperature ${t.from} K to ${t.to} K about that at which values hold` : "";
}

// The main causes first.
function causes(list: readonly Cause[], costs: readonly { name: string }[], places: boolean): string {
  const ranked = costs.flatMap((cost) => list.find((one) => one.name === cost.name) ?? []);
  const words = ranked
    .slice(0, listed)
    .map(({ name, value, unit, place }) => {
      const words = unit === "" ? engineering(value, "%", 3) : engineering(value, unit, 4);
      return name === "temperature" || !places ? `${name} ${words}` : `${name} ${words} (${signed(place)})`;
    })
    .join(", ");
  return ranked.length > listed ? `${words}, and ${ranked.length - listed} more` : words;
}

function signed(place: number): string {
  const words = (Math.abs(place) * 100).toFixed(0);
  return `${place < 0 ? "-" : "+"}${words} %`;
}

function label(c: CheckHeading): string {
  return c.case === "" ? c.name : `${c.name}, ${c.case}`;
}

function shown(c: CheckHeading, value: number | undefined): string {
  return measuredText(c, value ?? Number.NaN);
}

function percent(share: number): string {
  return engineering(share, "%", 3);
}

function table(rows: readonly (readonly string[])[], right?: ReadonlySet<number>): string[] {
  const ends = right ?? new Set(rows[0].map((_, c) => c).filter((c) => c > 0 && c < rows[0].length - 2));
  return columns(rows, ends).map((text) => `  ${text}`);
}
