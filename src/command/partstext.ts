// A list of parts, and a list of connections, as tables, for people and for other programs.
import { engineering } from "../base/quantity.js";
import { type Cell, csvRows } from "../workshop/csvrows.js";
import type { Joint } from "../workshop/joints.js";
import type { Need } from "../workshop/needs.js";
import type { PartsList, PartsRow } from "../workshop/partslist.js";
import { columns } from "./table.js";

/** The list for people, line by line. */
export function partsLines({ title, boards, derating, rows, ...list }: PartsList): string[] {
  const priced = rows.some(({ offer }) => offer !== undefined);
  const needed = rows.some(({ needs }) => needs !== undefined);
  const heads = ["", "kind", "value", "", "preferred"];
  if (needed) heads.push("voltage", "power", "current");
  if (priced) heads.push("price", "order");
  const table = [[...heads, "parts"]];
  for (const row of rows.filter(({ bought }) => bought)) {
    const cells = [
      `${row.count}`,
      row.kind,
      shown(row.value, row.unit),
      toleranceText(row),
      preferredText(row),
    ];
    if (needed) cells.push(needText(row.needs?.voltage, "V"), needText(row.needs?.power, "W"));
    if (needed) cells.push(needText(row.needs?.current, "A"));
    if (priced) cells.push(row.cost === undefined ? "" : money(row.cost), orderText(row));
    table.push([...cells, `${row.parts.join(", ")}${propertiesText(row)}`]);
  }
  const found = [title, boards === 1 ? "Parts of one board" : `Parts of ${boards} boards`, ""];
  found.push(...columns(table, new Set([0, 2])).map((line) => `  ${line}`));
  const used = (of: number) => engineering(of, "%");
  if (needed)
    found.push(
      "",
      `  What a part must be rated for, rounded up to what shops have: ${used(derating.voltage)} of the voltage and ${used(derating.power)} of the power may be used.`,
    );
  found.push(...unboughtLines(rows));
  if (priced) {
    const total = `${money(list.cost)}${list.currency && ` ${list.currency}`}`;
    found.push(
      "",
      `  ${total} in all${list.unpriced > 0 ? `, without ${list.unpriced} that have no price` : ""}.`,
    );
  }
  return found;
}

/** Parts of the design that only represent something else. */
function unboughtLines(rows: readonly PartsRow[]): string[] {
  const names = rows.filter(({ bought }) => !bought).flatMap(({ parts }) => parts);
  if (names.length === 0) return [];
  return [
    "",
    `  Not bought: ${names.join(", ")}. A source stands for what is outside of the board, or for a circuit of its own.`,
  ];
}

/** The connections, for people. */
export function jointLines(list: readonly Joint[]): string[] {
  const rows = list.map(({ place, ends }) => [place, ends.map((e) => `${e.part} (${e.end})`).join(", ")]);
  return columns([["place", "joined there"], ...rows], new Set()).map((line) => `  ${line}`);
}

/** The list for other programs: SI units, one row for parts bought as the same item. */
export function partsCsv({ rows }: PartsList): string {
  const heads =
    "kind,value,unit,tolerance,preferred,series,voltage,power,current,bought,each,count,price,cost,stock,missing,order,parts";
  const table = rows.map(({ needs, offer, preferred, ...row }): Cell[] => [
    row.kind,
    row.value,
    row.unit,
    row.tolerance,
    preferred?.value,
    preferred?.series,
    soldRating(needs?.voltage),
    soldRating(needs?.power),
    soldRating(needs?.current),
    row.bought ? "yes" : "no",
    row.each,
    row.count,
    offer?.price,
    row.cost,
    offer?.stock,
    row.missing,
    offer?.order,
    row.parts.join(" "),
  ]);
  return csvRows([heads.split(","), ...table]);
}

/** The connections for other programs: one row per end. */
export function jointsCsv(list: readonly Joint[]): string {
  const rows = list.flatMap(({ place, ends }) => ends.map(({ part, kind, end }) => [place, part, kind, end]));
  return csvRows([["place", "part", "kind", "end"], ...rows]);
}

function shown(value: number | undefined, unit: string): string {
  return value === undefined ? "" : engineering(value, unit, 6);
}

function toleranceText({ tolerance }: PartsRow): string {
  return tolerance === undefined ? "" : `± ${engineering(tolerance, "%", 3)}`;
}

function preferredText({ preferred, unit }: PartsRow): string {
  if (!preferred) return "";
  const { value, series, off } = preferred;
  return `${engineering(value, unit)} ${series}${Math.abs(off) > 1e-9 ? `, off ${engineering(off, "%", 2)}` : ""}`;
}

function needText(need: Need | undefined, unit: string): string {
  const rating = soldRating(need);
  return rating === undefined ? "" : engineering(rating, unit, 3);
}

/** The rating it is bought by; the rating it needs if shops have none so high. */
function soldRating(need: Need | undefined): number | undefined {
  return need && (need.shop ?? need.rating);
}

function money(sum: number): string {
  return sum.toFixed(2);
}

function orderText({ offer, missing = 0 }: PartsRow): string {
  if (!offer) return "not offered";
  return `${offer.order ?? `row ${offer.row}`}${missing > 0 ? `, ${missing} missing` : ""}`;
}

function propertiesText({ properties }: PartsRow): string {
  if (properties.length === 0) return "";
  return ` (${properties.map(({ word, value, unit }) => `${word} ${engineering(value, unit)}`).join(", ")})`;
}
