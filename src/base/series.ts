// Preferred values of IEC 60063, E3 to E192, exact. Figures are 10^(i/N), rounded in whole numbers, except where the standard
// departs from that. E3 to E12 are every eighth, fourth and second value of E24; E48 and E96 every fourth and second of E192.

import { type Given, oneOf, refuseOption } from "./asked.js";
import { Fraction, ratio, toNumber } from "./fraction.js";
import { readOnce } from "./legible.js";
import { asWritten, powerOfTen, readQuantity } from "./quantity.js";
import { firstWhere } from "./search.js";

/** Name of a series of preferred values, IEC 60063. */
export type Series = "E3" | "E6" | "E12" | "E24" | "E48" | "E96" | "E192";

/** The series, the coarsest first. */
export const seriesNames: readonly Series[] = ["E3", "E6", "E12", "E24", "E48", "E96", "E192"];

/** The series of that name, or undefined. */
export function readSeries(word: string): Series | undefined {
  return seriesNames.find((name) => name === word);
}

// Figures in the standard's tables that differ from the rounded rule, by index: E24 from 2.7 to 4.7, and 8.2; E192 at 9.20.
const departures: Readonly<Record<24 | 192, ReadonlyMap<number, number>>> = {
  24: new Map([
    [10, 27],
    [11, 30],
    [12, 33],
    [13, 36],
    [14, 39],
    [15, 43],
    [16, 47],
    [22, 82],
  ]),
  192: new Map([[185, 920]]),
};

const made = new Map<Series, readonly Fraction[]>();

/** The values of one decade, from 1 up to below 10, rising. */
export function decade(series: Series): readonly Fraction[] {
  let values = made.get(series);
  if (!values) {
    const n = Number(series.slice(1));
    const [whole, figures] = n <= 24 ? ([24, 10] as const) : ([192, 100] as const);
    values = Array.from({ length: n }, (_, i) => {
      const index = (i * whole) / n;
      return ratio(departures[whole].get(index) ?? rounded(index, whole, figures), figures);
    });
    made.set(series, values);
  }
  return values;
}

// The whole number nearest to figures * 10^(i/n): the largest m with (2m - 1)^n <= 2^n * figures^n * 10^i.
function rounded(i: number, n: number, figures: number): number {
  const bound = 2n ** BigInt(n) * BigInt(figures) ** BigInt(n) * 10n ** BigInt(i);
  return firstWhere(figures, 10 * figures, (m) => BigInt(2 * m + 1) ** BigInt(n) > bound);
}

/** The preferred values on both sides of a value; both are the value itself if it is a preferred one. */
interface PreferredPair {
  readonly below: Fraction;
  readonly above: Fraction;
}

/**
 * The neighbours of a value in a series.
 * @throws RangeError for a value that is not above zero
 */
export function neighbours(value: Fraction, series: Series): PreferredPair {
  const power = decadeOf(value);
  const scale = powerOfTen(power);
  const list = decade(series);
  const high = firstWhere(1, list.length, (i) => list[i].mul(scale).gt(value));
  const below = list[high - 1].mul(scale);
  if (below.equals(value)) return { below, above: below };
  return { below, above: high < list.length ? list[high].mul(scale) : powerOfTen(power + 1) };
}

/** The neighbour nearer to a value; the lower one if both are equally near. */
export function nearestPreferred(value: Fraction, series: Series): Fraction {
  const { below, above } = neighbours(value, series);
  return above.sub(value).lt(value.sub(below)) ? above : below;
}

/** Which preferred value is meant: the nearer one, or the next one on one side. A value of the series stands for itself. */
export type PreferredSide = "nearest" | "below" | "above";

/**
 * The preferred value of a series (IEC 60063) next to a value; the lower one if two are equally near.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * preferred("17.2 nF", "E24"); // 1.8e-8
 * preferred(17.2e-9, "E24", "below"); // 1.6e-8
 * ```
 * @param value above zero: text with its unit, or a number in SI units
 * @returns SI units
 * @throws DesignError `bad-option` for a value that is no quantity or not above zero, or an unknown series
 */
export function preferred(value: Given, series: Series, side: PreferredSide = "nearest"): number {
  const exact = anyQuantity(value);
  if (exact.s <= 0n || exact.n === 0n) refuseOption("value", "preferred values are above zero");
  const known = oneOf("series", series, seriesNames);
  const { below, above } = neighbours(exact, known);
  switch (oneOf("side", side, ["nearest", "below", "above"] as const)) {
    case "below":
      return toNumber(below);
    case "above":
      return toNumber(above);
    default:
      return toNumber(nearestPreferred(exact, known));
  }
}

/** A quantity of any dimension, exact. */
function anyQuantity(given: Given): Fraction {
  readOnce("value", given);
  if (given instanceof Fraction) return given;
  if (typeof given === "number" && Number.isFinite(given)) return asWritten(given);
  if (typeof given !== "string") return refuseOption("value", "neither a number nor a text with a unit");
  const read = readQuantity(given);
  return read.ok ? read.value.value : refuseOption("value", read.message, read.hint);
}

/** All preferred values from one value to another, both ends included, rising. */
export function preferredBetween(from: Fraction, to: Fraction, series: Series): Fraction[] {
  const found: Fraction[] = [];
  for (let power = decadeOf(from); powerOfTen(power).lte(to); power++) {
    const scale = powerOfTen(power);
    for (const figure of decade(series)) {
      const value = figure.mul(scale);
      if (value.gte(from) && value.lte(to)) found.push(value);
    }
  }
  return found;
}

// The power of ten at or below a value.
function decadeOf(value: Fraction): number {
  if (value.s <= 0n || value.n === 0n) throw new RangeError("preferred values are above zero");
  let power = String(value.n).length - String(value.d).length;
  while (powerOfTen(power).gt(value)) power--;
  while (powerOfTen(power + 1).lte(value)) power++;
  return power;
}
