// Reads a table of samples as instruments write it: lines above it, a column of time or an interval, a column for each channel.
// All mistakes in the table are reported at once, each with its line and column. An empty cell is a gap, and nothing else is.
import { DesignError, Report, refusal } from "../base/diagnostic.js";
import { type Capture, holesIn, resolutionOf } from "./capture.js";
import { cellsOf, type Dialect, dialectOf, isBlank, type Separator } from "./dialect.js";
import { type Head, headOf, isTime, type Label, type ScaledUnit, timeName } from "./labels.js";
import type { NumberList } from "./numberlist.js";
import { TableRows } from "./tablerows.js";

/** What a caller says of a table; the rest is found from its text. */
export interface TableAsked {
  readonly name: string;
  readonly separator?: Separator;
  readonly decimal?: "." | ",";
  /** Time between two samples, s; a column of time is then ignored. */
  readonly interval?: number;
  /** Unit of all channels. */
  readonly unit?: ScaledUnit;
}

/** First lines that are looked at to find out how the table is written, those above the samples included. */
const looked = 4000;
/** The most lines above the samples. */
const mostHead = 256_000;
/** The most columns: instruments write some dozens. */
const mostColumns = 1000;

/** Names of a column that numbers the rows. */
const indexName = /^(?:|#|n|no\.?|nr\.?|index|row|count|number|samples?|points?)$/i;

/**
 * Reads a table.
 * @throws DesignError `no-samples-found`, `too-few-samples`, `no-interval`, `no-number`, `extra-cell`, `time-backwards`, `time-stands`,
 * `time-missing`, `times-differ`, `unknown-unit`, `too-many-samples`
 */
export function readTable(lines: Iterable<string>, asked: TableAsked): Capture {
  const source = lines[Symbol.iterator]();
  const first: string[] = [];
  let next = source.next();
  let dialect: Dialect;
  // Above the samples stand some dozen lines, or thousands: more are looked at where half of those so far show no samples.
  for (let many = looked; ; many *= 8) {
    for (; !next.done && first.length < many; next = source.next()) first.push(next.value);
    if (first.length > 0) first[0] = first[0].replace(/^\uFEFF/, "");
    dialect = dialectOf(first, asked);
    if (dialect.head <= many / 2 || next.done || many >= mostHead) break;
  }
  if (dialect.first === first.length)
    throw refusal(
      "no-samples-found",
      `${asked.name}: no lines of numbers are found in ${next.done ? "it" : `its first ${first.length} lines`}`,
      "samples stand in columns parted by commas, semicolons, tabs or blanks",
    );
  const widest = cellsOf(first[dialect.first], dialect.separator).length;
  if (widest > mostColumns)
    throw refusal(
      "too-many-samples",
      `${asked.name} has ${widest} columns, more than ${mostColumns}`,
      "take fewer channels",
    );
  const rows = new TableRows(dialect, widest, asked.name);
  // Names in the line above the samples tell two columns from numbers with a decimal comma.
  if (
    first
      .slice(0, dialect.head)
      .findLast((line) => !isBlank(line))
      ?.includes(",")
  )
    rows.paired = false;
  for (let i = dialect.first; i < first.length; i++) rows.read(first[i], i + 1);
  let line = first.length;
  for (; !next.done; next = source.next()) rows.read(next.value, ++line);
  return captureOf(rows, headOf(first.slice(0, dialect.head), dialect, widest), asked);
}

function captureOf(rows: TableRows, head: Head, asked: TableAsked): Capture {
  const stated = typeof head.interval === "number" ? head.interval : undefined;
  const interval = asked.interval ?? stated;
  const { report, count } = rows;
  if (count < 2 && !report.failed)
    throw refusal(
      "too-few-samples",
      `${asked.name} holds one line of samples`,
      "one instant shows no course: save more of them",
    );
  const timed = timeColumn(rows, head, asked);
  if (timed !== undefined && asked.interval === undefined) rising(rows, timed, asked.name);
  if (report.failed) throw new DesignError(report.diagnostics);
  const given =
    timed !== undefined && asked.interval === undefined && !counts(rows.columns[timed], interval)
      ? timed
      : undefined;
  // Columns give up their memory when they are handed over, so those of time are compared first.
  const repeated =
    timed === undefined ? new Set<number>() : repeatedTimes(rows, head.labels, timed, asked.name);
  const after = timed === undefined ? rows.after() : undefined;
  const time =
    given === undefined
      ? evenTimes({ count, interval: interval ?? head.interval, start: head.start ?? 0, after }, asked.name)
      : rows.columns[given].handedOver(timeFactor(head.labels[given], asked.name));
  // Some programs number their rows in a column before that of time.
  const isIndex = (k: number) =>
    timed !== undefined && k < timed && indexName.test(head.labels[k].name) && goesBy(rows.columns[k], 1);
  const channels = rows.columns.flatMap((column, k) => {
    if (k === timed || repeated.has(k) || isIndex(k)) return [];
    const unit = asked.unit ?? head.labels[k].unit;
    const value = column.handedOver(unit?.factor ?? 1);
    // A separator at the end of each row makes a column of gaps.
    if (value.every(Number.isNaN)) return [];
    const number = k - rows.dialect.beside + (timed === undefined || timed > k ? 1 : 0);
    return [
      {
        name: head.labels[k].name || `${number}`,
        unit: unit?.unit ?? "",
        value,
        resolution: resolutionOf(value),
      },
    ];
  });
  if (channels.length === 0)
    throw refusal("no-samples-found", `${asked.name} has a column of time, and none of samples`);
  const capture = { name: asked.name, time, channels, holes: holesIn(time) };
  const warnings = doubtsOf(rows, asked, after !== undefined);
  return warnings.length > 0 ? { ...capture, warnings } : capture;
}

/** What may be meant otherwise than it is read, in words. */
function doubtsOf({ paired, groupedFrom }: TableRows, asked: TableAsked, gaps: boolean): string[] {
  const { name, separator, decimal } = asked;
  const told = separator !== undefined || decimal !== undefined;
  const found: string[] = [];
  if (paired && !told)
    found.push(
      `${name}: each row may be two columns or one number with a decimal comma, and two columns are read; name both in a line above them, or write a number with a decimal point`,
    );
  if (groupedFrom !== undefined && decimal === undefined)
    found.push(
      `${name}, row ${groupedFrom}: the commas within numbers may part thousands, and are read as decimal ones; write numbers without groups, or say that the decimal sign is a comma`,
    );
  if (gaps)
    found.push(
      `${name}: blank lines stand between its samples, and each is read as a sample that is missing; delete them if none is`,
    );
  return found;
}

interface Even {
  readonly count: number;
  readonly interval: number | string | undefined;
  readonly start: number;
  /** How many samples after the first each row is, unless each follows the one before. */
  readonly after?: Float64Array;
}

/** Evenly spaced instants. @throws DesignError `no-interval` where they would not rise */
function evenTimes({ count, interval, start, after }: Even, name: string): Float64Array {
  const hint = "give the time between two samples as 'interval', or a column of time";
  if (interval === undefined)
    throw refusal("no-interval", `${name} has neither a column of time nor an interval of its samples`, hint);
  if (typeof interval === "string")
    throw refusal(
      "no-interval",
      `${name} states its interval or rate as '${interval}', which is not clear`,
      hint,
    );
  const end = start + (after?.[count - 1] ?? count - 1) * interval;
  if (!(Number.isFinite(end) && end - interval / 2 < end && start + interval / 2 > start))
    throw refusal("no-interval", `${name} states an interval of ${interval} s from ${start} s on`, hint);
  return Float64Array.from({ length: count }, (_, i) => start + (after?.[i] ?? i) * interval);
}

/** From a column of time to seconds. @throws DesignError `unknown-unit` */
function timeFactor({ unit, foreign }: Label, name: string): number {
  if (unit && isTime(unit)) return unit.factor;
  const word = unit?.unit ?? foreign;
  if (word === undefined) return 1;
  throw refusal(
    "unknown-unit",
    `${name}: its times are in '${word}', which is no unit of time`,
    "write s, ms, us or ns there, or give the interval of the samples",
  );
}

/** Columns that repeat the time, as where each channel has its own. @throws DesignError `times-differ` if one is another time */
function repeatedTimes(
  { columns, count }: TableRows,
  labels: readonly Label[],
  timed: number,
  name: string,
): Set<number> {
  const found = new Set<number>();
  for (const [k, { name: label, unit }] of labels.entries()) {
    if (k === timed || !timeName.test(label) || (unit && !isTime(unit))) continue;
    for (let i = 0; i < count; i++)
      if (columns[k].at(i) !== columns[timed].at(i))
        throw refusal(
          "times-differ",
          `${name}: columns ${timed + 1} and ${k + 1} are both times, and not the same`,
          "make a capture of each channel with its own time",
        );
    found.add(k);
  }
  return found;
}

/** The column that is time, or counts the samples; undefined if there is none. */
function timeColumn(
  { columns, count, dialect: { beside } }: TableRows,
  { labels, interval: stated }: Head,
  { interval: given }: TableAsked,
): number | undefined {
  if (columns.length - beside < 2) return undefined;
  const named = labels.findIndex(({ name, unit }) => timeName.test(name) || (unit && isTime(unit)));
  if (named >= 0) return named;
  const column = columns[beside];
  const { name, unit } = labels[beside];
  // What is a voltage is no time, however it rises.
  if (unit !== undefined) return undefined;
  const interval = given ?? stated;
  if (typeof interval === "number" && [1, interval].some((step) => goesBy(column, step))) return beside;
  // If the text states the interval, no further column is taken for time; if the caller gave it, only a nameless one is.
  if (interval !== undefined && (given === undefined || name !== "")) return undefined;
  // Time rises nearly everywhere; a ramp does not.
  let rises = 0;
  for (let i = 1; i < count; i++) if (column.at(i) >= column.at(i - 1)) rises++;
  return rises >= 0.9 * (count - 1) ? beside : undefined;
}

/** Whether a column rises by the same step throughout, judged by its first two values and its last. */
function goesBy(column: NumberList, step: number): boolean {
  const last = column.count - 1;
  const near = (a: number, b: number) => Math.abs(a - b) <= 1e-3 * step;
  const begin = column.at(0);
  return near(column.at(1) - begin, step) && near((column.at(last) - begin) / last, step);
}

/** Whether a column counts the samples (0, 1, 2 or 1, 2, 3) and is not time itself, since the interval is another. */
function counts(column: NumberList, interval: number | undefined): boolean {
  const begin = column.at(0);
  return interval !== undefined && interval !== 1 && (begin === 0 || begin === 1) && goesBy(column, 1);
}

function rising(rows: TableRows, timed: number, name: string): void {
  const { columns, count, report } = rows;
  const column = columns[timed];
  const say = (row: number, code: string, what: string, hint?: string) => {
    const line = rows.lineOf(row);
    report.error(
      code,
      `${name}, row ${line}, column ${timed + 1}: ${what}`,
      { line, column: 1, length: 0 },
      { hint },
    );
  };
  // Stops once the report is full: a table that was misread has a mistake in every row.
  for (let i = 0; i < count && report.errors <= Report.cap; i++) {
    const [before, t] = [column.at(i - 1), column.at(i)];
    if (Number.isNaN(t)) say(i, "time-missing", "the sample has no time");
    else if (i === 0 || t > before) continue;
    else if (t === before)
      say(
        i,
        "time-stands",
        `the time ${t} is that of the sample before`,
        "where times are rounded, give the interval of the samples",
      );
    else if (t < before) say(i, "time-backwards", `time runs backwards, from ${before} to ${t}`);
  }
}
