// What the lines above the samples of a table say: names and units of its columns, the interval of its samples, the first
// instant. The lines may have any form; what is not understood is ignored.
import { dimension, unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { readUnit } from "../base/quantity.js";
import { symbolOf } from "../base/spelled.js";
import { cellsOf, type Dialect, numberIn, separatorLine } from "./dialect.js";

/** A unit: the SI unit, and the factor to it. */
export interface ScaledUnit {
  readonly unit: string;
  readonly factor: number;
}

/** The label of a column. */
export interface Label {
  readonly name: string;
  readonly unit?: ScaledUnit;
  /** What stands where a unit is written, and is none. */
  readonly foreign?: string;
}

export const timeName = /^(?:time|zeit|temps|tiempo|tempo|t|x|seconds?|x[ _-]*axis)\b/i;

/** What was understood of a table's head. */
export interface Head {
  /** By column. */
  readonly labels: readonly Label[];
  /** Time between two samples, s; as text if it is stated and not understood. */
  readonly interval?: number | string;
  /** The first instant, s. */
  readonly start?: number;
}

/** Symbols in instruments that do not keep capitals apart. */
const small: Readonly<Record<string, string>> = {
  "\u00b5sec": "us",
  "\u03bcsec": "us",
  v: "V",
  mv: "mV",
  uv: "uV",
  ma: "mA",
  ua: "uA",
  hz: "Hz",
  khz: "kHz",
};
const keys = {
  interval:
    /(?:sampl(?:e|ing)[ _-]*(?:interval|period|time|step)|time[ _-]*(?:step|increment|interval)|(?:\bx|horizontal)[ _-]*inc(?:r(?:ement)?)?|(?<=(?:^|[,;:\t"'])\s*)(?:increment|interval)|delta[ _-]*t|\bdt)\b/i,
  rate: /(?:sampl(?:e|ing)[ _-]*(?:rate|frequency)|samples[ _-]*(?:per|a)[ _-]*second)\b/i,
  start:
    /(?:x[ _-]*orig(?:in)?|(?:start|first)[ _-]*(?:time|instant)|time[ _-]*(?:origin|of[ _-]*first[ _-]*sample)|\bstart)\b/i,
} as const;
/**
 * What may follow a key: a unit in brackets, a number that is no date and no time of day, and a unit. A word in the next cell may be
 * something else.
 */
const valued =
  /^\s*(?:[([]\s*([^)\]\s]+)\s*[)\]])?["'\s:=,;]*([+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)(?!\d|[-:/.]\d| \d{3}\b)(["',;\s]*)([a-zµμΩ%]+(?:\/s(?:ec)?)?)?/iu;
/** Above a lone column, a line that ends with a number is no name. */
const settingAlone = /[,;:=\t]\s*[+-]?[\d.,:/-]+\s*$/;
/** Digits that are a thousand where commas part groups, and one where they part decimals. */
const grouped = /^[+-]?[1-9]\d{0,2},\d{3}$/;
/** What may stand where a unit is expected, and counts only. */
const counted = /^(?:samples?|per|a|points?)$/i;

/** A word read as a unit; undefined if it is none. */
export function unitIn(word: string): ScaledUnit | undefined {
  const lower = word.toLowerCase();
  const found =
    readUnit(word) ?? readUnit(symbolOf(word) ?? (Object.hasOwn(small, lower) ? small[lower] : ""));
  return found && { unit: unitOf(found.dimension), factor: toNumber(found.value) };
}

export function isTime({ unit }: ScaledUnit): boolean {
  return unit === unitOf(dimension.time);
}

const noUnit: ScaledUnit = { unit: "", factor: 1 };

/** Reads the lines above the samples. @param columns how many columns the samples have */
export function headOf(lines: readonly string[], dialect: Dialect, columns: number): Head {
  // A leading separator follows an empty cell, so it is neither a comment mark nor a blank to skip.
  const marks = new Set(
    [" ", "\t", "#", ";", "%"].filter((mark) => mark === " " || mark !== dialect.separator),
  );
  const plain = lines.map((line) => {
    let from = 0;
    while (marks.has(line[from])) from++;
    return line.slice(from);
  });
  const rate = keyed(plain, "rate", dialect);
  const interval = keyed(plain, "interval", dialect) ?? (typeof rate === "number" ? 1 / rate : rate);
  const start = keyed(plain, "start", dialect);
  return {
    labels: labelsIn(plain.slice(0, dialect.first), dialect, columns),
    interval,
    start: typeof start === "number" ? start : undefined,
  };
}

// The number that belongs to a key, after it or in the line below it; text if it is not understood.
function keyed(
  lines: readonly string[],
  key: keyof typeof keys,
  dialect: Dialect,
): number | string | undefined {
  for (const [i, line] of lines.entries()) {
    const found = keys[key].exec(line);
    if (!found) continue;
    const behind = valued.exec(line.slice(found.index + found[0].length));
    if (behind) {
      const [, bracketed, digits, between, word] = behind;
      if (dialect.decimal === "." && grouped.test(digits)) return digits;
      const sure = bracketed !== undefined || /^\s*$/.test(between);
      return scaled(Number(digits.replace(",", ".")), bracketed ?? word, { key, sure });
    }
    const below = cellsOf(lines[i + 1] ?? "", dialect.separator);
    const cells = cellsOf(line, dialect.separator);
    const column = cells.findIndex((cell) => keys[key].test(cell));
    const amount = numberIn(below[column] ?? "", dialect.decimal);
    const word = /[([]\s*([^)\]]+?)\s*[)\]]/.exec(cells[column] ?? "")?.[1];
    if (!Number.isNaN(amount)) return scaled(amount, word, { key, sure: true });
  }
  return undefined;
}

/** A number in its unit. @param of sure: false if the word may be something else than a unit */
function scaled(
  amount: number,
  word: string | undefined,
  of: { readonly key: keyof typeof keys; readonly sure: boolean },
): number | string {
  if (word === undefined || counted.test(word)) return amount;
  const unit = unitIn(word.replace(/(?:Sa|S|samples?)\/s(?:ec)?$|sps$/i, "Hz"));
  if (unit?.unit === unitOf(of.key === "rate" ? dimension.frequency : dimension.time))
    return amount * unit.factor;
  return of.sure ? `${amount} ${word}` : amount;
}

// Names in the last line that has one for each column; units beside them, or in a line of their own below.
function labelsIn(
  lines: readonly string[],
  { separator, decimal, beside }: Dialect,
  columns: number,
): Label[] {
  const rows = lines
    .filter((line) => !(columns > 1 ? isSetting(line) : keyIn(line) || settingAlone.test(line)))
    .filter((line) => !separatorLine.test(line))
    .map((line) => (separator === " " ? namesOf(line, columns) : cellsOf(line, separator)))
    .map((cells) => (numbered(cells, columns) ? ["", ...cells] : cells))
    .filter((cells) => cells.length >= columns && cells.slice(0, columns).some((c) => c !== ""))
    .map((cells) => cells.slice(0, columns));
  const last = rows.at(-1);
  // The first column may count the samples and have no unit; what belongs to a key above it is a number.
  const isUnit = (cell: string) => unitIn(bare(cell)) !== undefined;
  const isNumber = (cell: string) => !Number.isNaN(numberIn(cell, decimal));
  // A line of units stands below the names, or by itself where all are units and the first is one of time.
  const below = rows.length > 1 || (last?.every(isUnit) && isTime(unitIn(bare(last[0]))!));
  const named = last && timeName.test(last[0]) && !isTime(unitIn(bare(last[0])) ?? noUnit);
  const units =
    below &&
    !named &&
    last?.some(isUnit) &&
    last.every((cell, k) => k === 0 || cell === "" || isUnit(cell) || isNumber(cell))
      ? last
      : undefined;
  const names = rows
    .slice(0, units ? -1 : undefined)
    .filter((cells) => !cells.some(isNumber))
    .at(-1);
  return Array.from({ length: columns }, (_, k): Label => {
    if (k < beside) return { name: "" };
    const own = labelOf(names?.[k] ?? "");
    const word = bare(units?.[k] ?? "");
    const unit = word === "" ? undefined : unitIn(word);
    const foreign = own.foreign ?? (word === "" || unit ? undefined : word);
    return { name: own.name, unit: unit ?? own.unit, foreign: own.unit ? undefined : foreign };
  });
}

/** What stands behind the first key of a line. */
function keyIn(line: string): { readonly behind: string } | undefined {
  for (const key of Object.values(keys)) {
    const found = key.exec(line);
    if (found) return { behind: line.slice(found.index + found[0].length) };
  }
  return undefined;
}

/** Whether a line says something of all samples, with its number, and names no columns. */
function isSetting(line: string): boolean {
  return valued.test(keyIn(line)?.behind ?? "");
}

/** Whether names lack one for the first column: some programs number the rows, and head that column with nothing at all. */
function numbered(cells: readonly string[], columns: number): boolean {
  if (cells.length !== columns - 1 || columns < 3) return false;
  const { name, unit } = labelOf(cells[0]);
  return timeName.test(name) || (unit !== undefined && isTime(unit));
}

/** Names parted by blanks: by several blanks if that suits, else each with the unit in brackets behind it. */
function namesOf(line: string, columns: number): string[] {
  const wide = line.trim().split(/\t|\s{2,}/);
  return wide.length === columns || numbered(wide, columns)
    ? wide
    : (line.match(/(?:"[^"]*"|[^\s([]+|)(?:\s*[([][^)\]]*[)\]])?/g) ?? []).filter((c) => c !== "");
}

function bare(cell: string): string {
  return cell.replace(/^[([]\s*|\s*[)\]]$/g, "");
}

/**
 * The name and unit of `ramp (V)`, `ramp [mV]`, `ramp in V`, `ramp / V`, `ramp/V` (ISO 80000-1, 7.1.4), `ramp, V`, `time us`, `feed_mA`;
 * anything but a unit belongs to the name.
 */
export function labelOf(cell: string): Label {
  const found =
    /^(.*?)\s*(?:[([]\s*([^()[\]]+?)\s*[)\]]|\s(?:in|\/)\s+(\S+)|(?<=\S)\/([^\s/]+)|(?<=\S)(,\s*|[\s_])([^\s_,()[\]]+))$/u.exec(
      cell,
    );
  if (!found) return { name: cell };
  const [, name, bracketed, apart, tight, sign, loose] = found;
  const word = bracketed ?? apart ?? tight ?? loose;
  const unit = unitIn(word);
  const marked = bracketed ?? apart;
  // A slope in V/s is no time called V, and channel A is no current: one letter behind a blank changes nothing as a unit.
  const doubtful =
    marked === undefined &&
    unit &&
    ((isTime(unit) && !timeName.test(name)) ||
      unit.unit === "" ||
      (unit.factor === 1 && /^[\s_]/.test(sign ?? "")));
  if (unit && !doubtful) return { name, unit };
  return marked === undefined ? { name: cell } : { name: cell, foreign: word };
}
