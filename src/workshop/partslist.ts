// The list of what to buy: parts of one type in one row, with the preferred value, the tolerance, the ratings they need, and how
// many. Rails and signals are not on the board, and a coupling belongs to its coils.

import { asked, oneOf, refuseOption, wholeNumber } from "../base/asked.js";
import { type Dimension, dimension, sameDimension, unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { handed, handedAll } from "../base/handed.js";
import { nearestPreferred, type Series, seriesNames } from "../base/series.js";
import type { Amount, Design, PartSpec } from "../design/design.js";
import type { Stress } from "../judging/stresses.js";
import { type Derating, type Needs, needsOf } from "./needs.js";
import type { StockItem, StockList } from "./stocklist.js";

/** A property that the parts of a row have in common. */
export interface PartsProperty {
  /** Its word in the design. */
  readonly word: string;
  /** Its value, SI units. */
  readonly value: number;
  /** SI unit. */
  readonly unit: string;
}

/** Parts of one type. SI units. */
export interface PartsRow {
  /** In the language's word. */
  readonly kind: string;
  /** Full names, in the order of the text. */
  readonly parts: readonly string[];
  /** As designed; absent where the kind has none or a waveform takes its place. */
  readonly value?: number;
  /** SI unit of the value, empty where there is none. */
  readonly unit: string;
  /** The tolerance asked for, a share, the narrower side; absent where none is given. */
  readonly tolerance?: number;
  /** For resistors, capacitors and coils: the nearest preferred value (IEC 60063). */
  readonly preferred?: {
    /** SI. */
    readonly value: number;
    /** The series it was taken from. */
    readonly series: Series;
    /** How far it is from the value, as a share of that. */
    readonly off: number;
  };
  /** Its properties, as `word value`: `drop 600 mV`. */
  readonly properties: readonly PartsProperty[];
  /** What it must be rated for; absent where no run was examined. */
  readonly needs?: Needs;
  /** False for a source without an offer: it stands for something outside of the board, or for a circuit of its own. */
  readonly bought: boolean;
  /** On one board. */
  readonly each: number;
  /** On all boards. */
  readonly count: number;
  /** What was chosen from the user's own file: offers with enough in stock first, then the cheapest. */
  readonly offer?: StockItem;
  /** Price of all; absent where the offer states none. */
  readonly cost?: number;
  /** How many the offer's stock lacks, less what other rows take of it; absent where it states none. */
  readonly missing?: number;
}

/** A list of parts. */
export interface PartsList {
  /** Title of the design. */
  readonly title: string;
  /** How many boards it is for. */
  readonly boards: number;
  /** The share of a rating that may be used. */
  readonly derating: Derating;
  /** In the order of the text. */
  readonly rows: readonly PartsRow[];
  /** Total price of all rows with a price. */
  readonly cost: number;
  /** From the file of prices; empty where it names none. */
  readonly currency: string;
  /** The number of rows to buy without a price. */
  readonly unpriced: number;
}

/** How to make the list. */
export interface PartsListOptions {
  /** How many boards, 1 unless given. */
  readonly boards?: number;
  /** The share of a rating of voltage and of power that may be used; 0.5 of either unless given. A current's is used whole. */
  readonly derating?: Partial<Derating>;
  /** The series to take preferred values from; default: the one that goes with the tolerance (IEC 60063). */
  readonly series?: Series;
  /** What runs demand of the parts, one for each case that counts; see `stress`. */
  readonly stresses?: readonly Stress[];
  /** The user's own prices and stock; see `readStock`. */
  readonly stock?: StockList;
}

/** Series by the tolerance they were made for (IEC 60063), the coarsest first; without a tolerance E24. */
const byTolerance: readonly (readonly [number, Series])[] = [
  [0.2, "E6"],
  [0.1, "E12"],
  [0.05, "E24"],
  [0.02, "E48"],
  [0.01, "E96"],
  [0, "E192"],
];
const steppedDimensions = [dimension.resistance, dimension.capacitance, dimension.inductance];
/** Rounding to six figures may make values differ by so much. */
const same = 1e-6;

/**
 * The list of parts of a design, as drawn.
 *
 * @category Bench and stock
 * @example
 * ```ts
 * const { rows } = partsList(design, { boards: 10 });
 * rows.map(({ count, kind }) => `${count} ${kind}`); // ["10 current", "10 capacitor", "10 switch", "10 diode"]
 * ```
 * @throws DesignError `bad-option` for an invalid number of boards, series or share
 */
export function partsList(design: Design, options: PartsListOptions = {}): PartsList {
  handed("design", design);
  asked(options, { boards: "number", derating: "object", series: "text", stresses: "any", stock: "any" });
  const { boards = 1, derating = {}, stresses = [], stock } = options;
  handedAll("stress", stresses, "stresses");
  if (stock !== undefined) handed("stock", stock);
  asked(derating, { voltage: "number", power: "number", current: "number" }, "derating");
  wholeNumber("boards", boards, 1, 1_000_000);
  const series = options.series && oneOf("series", options.series, seriesNames);
  const used = {
    voltage: share("voltage", derating.voltage),
    power: share("power", derating.power),
    current: 1,
  };
  const groups = new Map<string, PartSpec[]>();
  for (const part of design.parts) {
    if (part.kind.ownPlace || part.couples) continue;
    const alone = stock?.items.some(({ name }) => name === part.name);
    const key = alone ? part.name : likeness(part);
    const group = groups.get(key);
    if (group) group.push(part);
    else groups.set(key, [part]);
  }
  const wanted = [...groups.values()].map((group) => {
    const row = rowOf(group, series);
    const needs = needsOf(new Set(row.parts), stresses, used, group[0].kind.stores ?? false);
    return { ...row, needs, count: row.each * boards };
  });
  const rows = withOffers(wanted, stock?.items ?? []);
  return {
    title: design.title,
    boards,
    derating: used,
    rows,
    cost: rows.reduce((sum, { cost = 0 }) => sum + cost, 0),
    currency: stock?.currency ?? "",
    unpriced: rows.filter(({ bought, cost }) => bought && cost === undefined).length,
  };
}

function share(what: string, given = 0.5): number {
  if (given > 0 && given <= 1) return given;
  return refuseOption(`derating.${what}`, "a share above 0 and up to 1");
}

/** A key of what makes parts one type. A trimmer's position, and what controls a part, are not bought. */
function likeness(part: PartSpec): string {
  const amount = ({ value, low, high }: Amount) => [value, low, high].map((x) => x.toFraction()).join(" ");
  const said = boughtProperties(part).map(([word, one]) => `${word} ${amount(one)}`);
  return JSON.stringify([
    part.kind.word,
    part.wave ? part.name : (part.value && amount(part.value)) || "",
    said.sort(),
    [...(part.flags ?? [])].sort(),
    [...(part.ratings ?? [])].map(({ of, size, level }) => `${of} ${size} ${level}`).sort(),
  ]);
}

function boughtProperties(part: PartSpec): [string, Amount][] {
  return [...part.amounts].filter(([word]) => word !== part.kind.turns && word !== "starts");
}

function rowOf(group: readonly PartSpec[], series: Series | undefined): PartsRow {
  const [first] = group;
  const { kind, value, wave } = first;
  const tolerance = value && toleranceOf(value);
  const stated = value && !wave ? value : undefined;
  return {
    kind: kind.word,
    parts: group.map(({ name }) => name),
    value: stated && toNumber(stated.value),
    unit: stated ? unitOf(stated.dimension) : "",
    tolerance,
    preferred: stated && preferredOf(stated, tolerance, series),
    properties: boughtProperties(first).map(([word, amount]) => ({
      word,
      value: toNumber(amount.value),
      unit: unitOf(amount.dimension),
    })),
    bought: kind.ideal === undefined,
    each: group.length,
    count: group.length,
  };
}

function toleranceOf({ value, low, high }: Amount): number | undefined {
  const size = Math.abs(toNumber(value));
  const sides = [toNumber(value.sub(low)), toNumber(high.sub(value))].filter((by) => by > 0);
  return size > 0 && sides.length > 0 ? Math.min(...sides) / size : undefined;
}

function preferredOf(amount: Amount, tolerance: number | undefined, asked: Series | undefined) {
  const stepped = steppedDimensions.some((d: Dimension) => sameDimension(d, amount.dimension));
  const exact = amount.value;
  if (!stepped || exact.n === 0n || exact.s < 0n) return undefined;
  const wide = tolerance ?? 0.05;
  const series = asked ?? byTolerance.find(([least]) => wide >= least * (1 - same))![1];
  const found = nearestPreferred(exact, series);
  return { value: toNumber(found), series, off: toNumber(found.sub(exact).div(exact)) };
}

/** The rows, each with the best offer for it. Rows that few offers fit choose first, and one takes what another has left in stock. */
function withOffers(rows: readonly PartsRow[], items: readonly StockItem[]): PartsRow[] {
  const left = new Map(items.map((o) => [o, o.stock ?? Number.POSITIVE_INFINITY]));
  const fitting = rows.map((row) => items.filter((offer) => fits(row, offer)));
  const found = [...rows];
  for (const i of [...rows.keys()].sort((a, b) => fitting[a].length - fitting[b].length)) {
    const row = rows[i];
    const enough = (o: StockItem) => Number(left.get(o)! >= row.count);
    const price = (o: StockItem) => o.price ?? Number.MAX_VALUE;
    const [offer] = fitting[i].sort((a, b) => enough(b) - enough(a) || price(a) - price(b) || a.row - b.row);
    if (!offer) continue;
    const rest = left.get(offer)! - row.count;
    left.set(offer, Math.max(0, rest));
    found[i] = {
      ...row,
      bought: true,
      offer,
      cost: offer.price === undefined ? undefined : offer.price * row.count,
      missing: offer.stock === undefined ? undefined : Math.max(0, -rest),
    };
  }
  return found;
}

function fits(row: PartsRow, offer: StockItem): boolean {
  if (offer.kind !== row.kind) return false;
  if (offer.name !== undefined && !row.parts.includes(offer.name)) return false;
  const value = row.preferred?.value ?? row.value;
  if (value !== undefined && offer.name === undefined)
    if (offer.value === undefined || Math.abs(offer.value - value) > same * Math.abs(value)) return false;
  const bears = (rated: number | undefined, need: number | undefined) =>
    rated === undefined || need === undefined || !Number.isFinite(need) || rated >= need;
  const close = offer.tolerance === undefined || row.tolerance === undefined;
  return (
    (close || offer.tolerance <= row.tolerance * (1 + same)) &&
    bears(offer.voltage, row.needs?.voltage.rating) &&
    bears(offer.power, row.needs?.power?.rating) &&
    bears(offer.current, row.needs?.current.rating)
  );
}
