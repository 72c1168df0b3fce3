// The stress on parts in words for a terminal.
import { engineering } from "../base/quantity.js";
import type { PartStress, Peak, RailStress, RatingUse, Stress } from "../judging/stresses.js";
import { columns } from "./table.js";

/** A smaller share of what a rail delivers is rounding error. */
const speck = 1e-9;

/** The tables of a stress result. */
export function stressLines(s: Stress): string[] {
  const title = s.case === "" ? s.title : `${s.title}: ${s.case}`;
  const span = `from ${engineering(s.from, "s")} to ${engineering(s.to, "s")}`;
  const heads = [
    "part",
    "",
    "power, mean",
    "peak",
    "at",
    "current, rms",
    "peak",
    "at",
    "voltage, peak",
    "at",
    "reverse",
  ];
  const rows = s.parts.map((p) => [p.part, p.kind, ...figures(p)]);
  const right = new Set(heads.map((_, c) => c).filter((c) => c > 1));
  const found = [title, span, "", ...columns([heads, ...rows], right).map((text) => `  ${text}`)];
  if (s.shared.times > 0)
    found.push(
      "",
      `  Charge or flux was shared at an instant ${s.shared.times} times, ${engineering(s.shared.energy, "J")} lost in all:`,
      "  what ideal parts carried there has no bound. Give them a resistance to see the peaks.",
      "",
      ...sharedLines(s.parts),
    );
  if (s.rails.length > 0) found.push("", ...railLines(s.rails));
  const ratings = s.parts.flatMap((p) => p.ratings.map((r) => ({ part: p.part, rating: r })));
  if (ratings.length === 0)
    return [...found, "", "  No part is rated; write ', rated 0.25 W' behind one to have it judged."];
  ratings.sort((a, b) => b.rating.used - a.rating.used);
  const used = [["part", "rated", "asked for", "at", "used", "verdict"]];
  for (const { part, rating } of ratings) used.push([part, ...ratingCells(rating)]);
  return [...found, "", ...columns(used, new Set([2, 3, 4])).map((text) => `  ${text}`)];
}

function sharedLines(parts: readonly PartStress[]): string[] {
  const rows = [["part", "times", "charge, most", "flux, most", "energy in all"]];
  for (const { part, shared } of parts) {
    if (!shared) continue;
    const { times, charge, flux, energy } = shared;
    const sizes = [charge && engineering(charge, "C", 3), flux && engineering(flux, "Vs", 3)];
    rows.push([part, `${times}`, ...sizes.map((text) => text || ""), engineering(energy, "J", 3)]);
  }
  return columns(rows, new Set([1, 2, 3, 4])).map((text) => `  ${text}`);
}

function railLines(rails: readonly RailStress[]): string[] {
  const a = (v: number) => engineering(v, "A", 3);
  const s = (t: number) => engineering(t, "s", 5);
  const both = ({ value, at }: Peak) => (value > 0 ? [a(value), s(at)] : ["", ""]);
  const rows = [["rail", "delivers", "at", "takes", "at", "sinks", ""]];
  for (const r of rails)
    rows.push([
      r.part,
      ...both(r.delivers),
      ...both(r.takes),
      r.sinks === undefined ? "" : a(r.sinks),
      r.letsGo ? "lets go" : "",
    ]);
  const found = columns(rows, new Set([1, 2, 3, 4, 5])).map((text) => `  ${text}`);
  const unsaid = rails.filter((r) => r.sinks === undefined && r.takes.value > speck * r.delivers.value);
  if (unsaid.some((r) => r.takes.value > 0))
    found.push(
      `  A regulator does not take what is pushed into it; say of ${unsaid.map((r) => `'${r.part}'`).join(", ")} what it sinks, ', sinks 0 A'.`,
    );
  return found;
}

function figures({ power, current, voltage }: PartStress): string[] {
  const w = (v: number) => engineering(v, "W", 3);
  const a = (v: number) => engineering(v, "A", 3);
  const v = (x: number) => engineering(x, "V", 3);
  const s = (t: number) => engineering(t, "s", 5);
  return [
    w(power.mean),
    w(power.peak.value),
    s(power.peak.at),
    a(current.rms),
    a(current.peak.value),
    s(current.peak.at),
    v(voltage.peak.value),
    s(voltage.peak.at),
    voltage.reverse.value > 0 ? v(voltage.reverse.value) : "",
  ];
}

const units = { power: "W", current: "A", voltage: "V" } as const;

function ratingCells(r: RatingUse): string[] {
  const at = r.at === undefined ? "" : engineering(r.at, "s", 5);
  return [
    ratingText(r),
    engineering(r.value, units[r.of], 3),
    at,
    engineering(r.used, "%", 3),
    r.pass ? "pass" : "FAIL",
  ];
}

/** A rating as a design says it: `300 mA peak`. */
function ratingText({ of, size, limit }: RatingUse): string {
  return `${engineering(limit, units[of], 3)} ${size}`;
}

/** A demand against its rating: `reset 2.3 A of 1 A peak`. */
export function excessText(part: string, r: RatingUse): string {
  return `${part} ${engineering(r.value, units[r.of], 3)} of ${ratingText(r)}`;
}
