// Traces as text: comma-separated values over the union of their instants, and JSON. The same traces give the same bytes on
// every machine and in every locale; numbers are in the shortest form that reads back to the same double; at a jump a table
// has two rows of equal time.
import { handedAll } from "../base/handed.js";
import { legible } from "../base/legible.js";
import { sideBySide, straightened } from "./sidebyside.js";
import type { Trace } from "./trace.js";

/** Version of the JSON layout that `toJson` writes. */
export const schemaVersion = 1;

/**
 * Comma-separated values (RFC 4180: lines end in CR LF, quotes are doubled) with a header line such as
 * `time (s),ramp (V)`, without brackets where there is no unit. Where a trace bends there are rows between its samples, so that
 * straight lines from row to row, as a spreadsheet draws them, are true to 1e-4 of its swing. A trace with no sample at an instant of
 * another is interpolated; outside its own span its cell is empty. A value that is no number is written `NaN`.
 * The lines come one at a time, each with its line end, since a run may be too long for one string.
 *
 * @category Numbers and files
 * @example
 * ```ts
 * const short = simulate(design, { until: "100 us" });
 * const [head] = csvLines([short.trace("ramp"), short.trace("gate")]);
 * head; // "time (s),ramp (V),gate (V)\r\n"
 * ```
 */
export function* csvLines(traces: readonly Trace[]): Generator<string, void, undefined> {
  handedAll("trace", traces, "traces");
  yield `${["time (s)", ...traces.map((t) => (t.unit === "" ? t.name : `${t.name} (${t.unit})`))].map(csvCell).join(",")}\r\n`;
  for (const { at, before, after, jumps } of sideBySide(traces)) {
    const start = numeral(at);
    if (jumps) yield `${start},${before.map(cell).join(",")}\r\n`;
    yield `${start},${after.map(cell).join(",")}\r\n`;
  }
}

function cell(value: number | undefined): string {
  return value === undefined ? "" : numeral(value);
}

/**
 * One JSON object: `schemaVersion`, what `extra` adds, `times` (lists of instants, in seconds), `traces` (name, unit, which
 * of the `times` is its own, value), and `notes`. Traces that share their instants share one list: the instants of
 * `traces[0]` are `times[traces[0].time]`. Straight lines between them are as true as in `csvLines`. JSON has no word for NaN or infinity: such a value is written `null` and a note
 * says where and what it was. Negative zero is written `0`. A bigint is written as a text.
 *
 * @category Numbers and files
 * @example
 * ```ts
 * const { traces } = JSON.parse(toJson([run.trace("ramp")], { seed: 1 }));
 * traces[0].unit; // "V"
 * ```
 * @param extra further entries; one called like an entry above is overwritten by it
 */
export function toJson(traces: readonly Trace[], extra: Readonly<Record<string, unknown>> = {}): string {
  handedAll("trace", traces, "traces");
  const notes: string[] = [];
  const numbers = (of: Float64Array, where: string) =>
    Array.from(of, (x, i) => {
      if (Number.isFinite(x)) return x === 0 ? 0 : x;
      notes.push(`${where}[${i}] is ${x}, written as null`);
      return null;
    });
  const points = traces.map(straightened);
  const times = distinct(points.map(({ time }) => time));
  const body = {
    ...(legible("extra", () => clean(extra, "extra", notes)) as object),
    schemaVersion,
    times: times.map((time, i) => numbers(time, `times[${i}]`)),
    traces: traces.map(({ name, unit }, i) => ({
      name,
      unit,
      time: times.findIndex((time) => sameNumbers(time, points[i].time)),
      value: numbers(points[i].value, `${name}.value`),
    })),
  };
  return JSON.stringify({ ...body, notes });
}

function distinct(all: readonly Float64Array[]): Float64Array[] {
  return all.filter((a, i) => all.findIndex((b) => sameNumbers(a, b)) === i);
}

function sameNumbers(a: Float64Array, b: Float64Array): boolean {
  return a === b || (a.length === b.length && a.every((x, i) => Object.is(x, b[i])));
}

// A copy of plain data in which every number that JSON lacks is null, with a note.
function clean(data: unknown, where: string, notes: string[]): unknown {
  if (typeof data === "number" && !Number.isFinite(data)) {
    notes.push(`${where} is ${data}, written as null`);
    return null;
  }
  if (Array.isArray(data) || ArrayBuffer.isView(data))
    return Array.from(data as unknown as ArrayLike<unknown>, (x, i) => clean(x, `${where}[${i}]`, notes));
  if (typeof data === "bigint") return `${data}`;
  if (typeof data !== "object" || data === null) return data;
  // fromEntries makes own properties of every key, `__proto__` included.
  return Object.fromEntries(Object.entries(data).map(([k, v]) => [k, clean(v, `${where}.${k}`, notes)]));
}

// The shortest text that reads back to the same double; JavaScript's own, which no locale touches.
function numeral(x: number): string {
  return x === 0 ? "0" : String(x);
}

/**
 * A text cell. A cell that begins like a formula (also with full-width signs, and after blanks) gets an apostrophe, as
 * spreadsheet programs would otherwise run it (common practice against "CSV injection"); so does one after a separator that some
 * countries use. Then the quotes of RFC 4180.
 */
export function csvCell(text: string): string {
  const safe = text.replace(/(^|[;\t])(?=[\p{Z}\p{C}]*[=+\-@\uff1d\uff0b\uff0d\uff20\t\r\n])/gu, "$1'");
  return safe !== text || /[",;\t\r\n]/.test(text) ? `"${safe.replaceAll('"', '""')}"` : text;
}
