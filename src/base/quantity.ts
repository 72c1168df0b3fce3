// Exact quantities: a rational and a dimension. Text is read by a number grammar of our own, since JavaScript's
// `Number` takes `0x10` and an empty string, and is written back in engineering units.

import { combine, type Dimension, dimension, unitOf } from "./dimension.js";
import { Fraction, fromNumber, one, ratio, toNumber } from "./fraction.js";
import { handedNumber, handedText } from "./handed.js";

/** An exact rational with a dimension, in SI units. */
export interface Quantity {
  readonly value: Fraction;
  readonly dimension: Dimension;
}

/** Why a text is not a number or a quantity: a code, a sentence and what to do. */
interface Refusal {
  readonly code: string;
  readonly message: string;
  readonly hint?: string;
  /** The text that was plainly meant. */
  readonly meant?: string;
}

/** A result or the reason for having none. */
type Parsed<T> = { readonly ok: true; readonly value: T } | ({ readonly ok: false } & Refusal);

/** Magnitudes outside these decades are refused: no electrical quantity lies there. */
const decades = 40;
const mostDigits = 60;

/** Builds a quantity. */
export function quantity(value: Fraction, dim: Dimension): Quantity {
  return { value, dimension: dim };
}

// SI prefixes (BIPM, SI Brochure, table 7) that are of use in circuits. Both code points for micro count as one
// prefix, as does the letter u that keyboards have.
const prefixes: Readonly<Record<string, number>> = {
  f: -15,
  p: -12,
  n: -9,
  u: -6,
  µ: -6,
  μ: -6,
  m: -3,
  k: 3,
  M: 6,
  G: 9,
  T: 12,
};

const units: Readonly<Record<string, readonly [Dimension, Fraction]>> = {
  V: [dimension.voltage, one],
  A: [dimension.current, one],
  s: [dimension.time, one],
  Hz: [dimension.frequency, one],
  ohm: [dimension.resistance, one],
  Ω: [dimension.resistance, one], // U+03A9, and below the compatibility sign U+2126
  "\u2126": [dimension.resistance, one],
  F: [dimension.capacitance, one],
  H: [dimension.inductance, one],
  W: [dimension.power, one],
  J: [dimension.energy, one],
  C: [dimension.charge, one],
  K: [dimension.temperature, one], // a difference, never a temperature above absolute zero
  "%": [dimension.number, ratio(1, 100)],
  ppm: [dimension.number, ratio(1, 1_000_000)],
  deg: [dimension.number, ratio(1, 360)], // of a full turn
};
/** Units that take no prefix. */
const whole: ReadonlySet<string> = new Set(["%", "ppm", "deg"]);

/** Every unit with every prefix, for suggestions. */
export const unitWords: readonly string[] = Object.keys(units).flatMap((u) =>
  whole.has(u) ? [u] : [u, ...Object.keys(prefixes).map((p) => p + u)],
);

/** Ten to a whole power, exact. */
export function powerOfTen(exponent: number): Fraction {
  const p = 10n ** BigInt(Math.abs(exponent));
  return exponent < 0 ? new Fraction(1n, p) : new Fraction(p, 1n);
}

/** Cached per word: a text names a few units thousands of times. */
const unitsRead = new Map<string, Quantity>();

/** The unit a word stands for (`mA`, `ohm`, `%`), or undefined. */
export function readUnit(word: string): Quantity | undefined {
  const known = unitsRead.get(word);
  if (known) return known;
  const unit = prefixed(word);
  if (unit) unitsRead.set(word, unit);
  return unit;
}

function prefixed(word: string): Quantity | undefined {
  const plain = own(units, word);
  if (plain) return quantity(plain[1], plain[0]);
  const first = [...word][0] ?? "";
  const exponent = own(prefixes, first);
  const rest = word.slice(first.length);
  const unit = own(units, rest);
  if (exponent === undefined || !unit || whole.has(rest)) return undefined;
  return quantity(powerOfTen(exponent).mul(unit[1]), unit[0]);
}

// Own properties only: `constructor` and `__proto__` are ordinary words here.
function own<T>(table: Readonly<Record<string, T>>, key: string): T | undefined {
  return Object.hasOwn(table, key) ? table[key] : undefined;
}

/** Reads a decimal number, `12`, `4.7` or `1e-9`; nothing else. */
export function readNumber(text: string): Parsed<Fraction> {
  const match = /^(\d+)(?:\.(\d+))?(?:[eE]([+-]?\d+))?$/.exec(text);
  if (!match) return refuseNumber(text);
  const [, whole, decimals = "", exponentText = "0"] = match as unknown as [string, string, string?, string?];
  const digits = whole + decimals;
  const exponent = Number(exponentText) - decimals.length;
  if (digits.length > mostDigits) {
    return {
      ok: false,
      code: "number-range",
      message: `a number may have ${mostDigits} digits at most`,
      hint: "round it",
    };
  }
  const n = BigInt(digits);
  const figures = n.toString();
  // The value is at least 10^least and less than ten times that.
  const least = n === 0n ? 0 : figures.length - 1 + exponent;
  const beyond = least > decades || (least === decades && !/^10*$/.test(figures));
  if (beyond || least < -decades || Math.abs(exponent) > 400) {
    return {
      ok: false,
      code: "number-range",
      message: `${shortened(text)} is out of range`,
      hint: `magnitudes from 1e-${decades} to 1e${decades} are taken`,
    };
  }
  const power = 10n ** BigInt(Math.abs(exponent));
  return { ok: true, value: exponent < 0 ? new Fraction(n, power) : new Fraction(n * power, 1n) };
}

/** The beginning of a long text, for messages. */
export function shortened(text: string): string {
  return text.length > 24 ? `${text.slice(0, 24)}…` : text;
}

/** "a, b and c"; empty where there is none. */
export function enumerated(words: readonly string[], joint: "and" | "or"): string {
  const most = words.slice(0, -1).join(", ");
  return most === "" ? (words[0] ?? "") : `${most} ${joint} ${words.at(-1)}`;
}

function refuseNumber(text: string): Parsed<Fraction> {
  const say = (message: string, hint: string, meant?: string): Parsed<Fraction> => ({
    ok: false,
    code: "number-malformed",
    message,
    hint,
    ...(meant !== undefined && { meant }),
  });
  const shown = `'${shortened(text)}'`;
  if (/^0[xXbBoO]/.test(text)) return say(`${shown} is not a decimal number`, "write numbers in decimal");
  if (/^[\d_]+$/.test(text))
    return say(`${shown} has a digit separator`, "write the digits without '_'", text.replaceAll("_", ""));
  if (/\p{Nd}/u.test(text) && !/^[\p{ASCII}]*$/u.test(text)) {
    return say(`${shown} has digits of another script`, "write numbers with the digits 0 to 9");
  }
  if (/^\d+k\d+$/.test(text))
    return say(
      `${shown} is not a number`,
      `a letter code is written ${text.toUpperCase()}`,
      text.toUpperCase(),
    );
  return say(`${shown} is not a number`, "numbers look like 12, 4.7 or 1e-9");
}

// IEC 60062: the letter stands for the decimal point and gives the multiplier. For capacitors the standard has
// p, n and µ; u and both code points of µ are accepted (a leniency of ours).
const resistorLetters: Readonly<Record<string, number>> = { L: -3, R: 0, K: 3, M: 6, G: 9 };
const capacitorLetters: Readonly<Record<string, number>> = { p: -12, n: -9, u: -6, µ: -6, μ: -6 };

/** Reads an IEC 60062 letter code (`4K7`, `R47`, `15n`, `6u8`); undefined if the text is none. */
export function readLetterCode(text: string): Quantity | undefined {
  const match = /^(\d*)([LRKMGpnuµμ])(\d*)$/.exec(text);
  if (!match) return undefined;
  const [, before, letter, after] = match as unknown as [string, string, string, string];
  if (before === "" && after === "") return undefined;
  if (before.length + after.length > mostDigits) return undefined;
  const resistor = own(resistorLetters, letter);
  const exponent = resistor ?? own(capacitorLetters, letter)!;
  const value = powerOfTen(exponent - after.length).mul(new Fraction(BigInt(before + after), 1n));
  return quantity(value, resistor !== undefined ? dimension.resistance : dimension.capacitance);
}

/**
 * Reads a whole quantity from text, as options of the API take it, with an optional sign and an optional unit:
 * `5 ms`, `-0.3V`, `4.7e-6 s`, `10 V/ms`.
 */
export function readQuantity(text: string): Parsed<Quantity> {
  const match =
    /^\s*([+-]?)\s*(\d[\d.]*(?:[eE][+-]?\d+)?)\s*(?:([^\s\d/]+)(?:\s*\/\s*([^\s\d/]+))?)?\s*$/u.exec(text);
  if (!match)
    return {
      ok: false,
      code: "quantity-malformed",
      message: `'${shortened(text)}' is not a quantity`,
      hint: "write a number and a unit, like 5 ms",
    };
  const [, sign, digits, unitText, perText] = match;
  const read = readNumber(digits);
  if (!read.ok) return read;
  let result = quantity(sign === "-" ? read.value.neg() : read.value, dimension.number);
  for (const [word, power] of [
    [unitText, 1],
    [perText, -1],
  ] as const) {
    if (word === undefined) continue;
    const unit = readUnit(word);
    if (!unit) return { ok: false, code: "unknown-unit", message: `'${shortened(word)}' is not a unit` };
    result = power === 1 ? product(result, unit) : quotient(result, unit);
  }
  return { ok: true, value: result };
}

/**
 * The decimal that a finite double is written as, not the double itself: the decimal 0.005 s has a useful common
 * divisor with the instants of a design, the double nearest to it does not.
 */
export function asWritten(x: number): Fraction {
  const decimal = readNumber(String(Math.abs(x)));
  if (!decimal.ok) return fromNumber(x);
  return x < 0 ? decimal.value.neg() : decimal.value;
}

export function product(a: Quantity, b: Quantity): Quantity {
  return quantity(a.value.mul(b.value), combine(a.dimension, b.dimension));
}

/** Quotient; the divisor must not be zero. */
export function quotient(a: Quantity, b: Quantity): Quantity {
  return quantity(a.value.div(b.value), combine(a.dimension, b.dimension, -1));
}

/**
 * A double with its SI unit in engineering notation, e.g. `3.95 V`, `15 nF`, `-22.0 mV`.
 *
 * @category Numbers and files
 * @example
 * ```ts
 * engineering(15e-9, "F"); // "15 nF"
 * engineering(0.05, "%"); // "5 %"
 * ```
 * @param value in the SI unit
 * @param unit e.g. `V`; `%` shows a share in per cent
 * @param figures significant figures, 4 unless given; a whole number without a unit, a count, has all its digits
 */
export function engineering(value: number, unit: string, figures = 4): string {
  handedNumber(value, "value");
  handedText(unit, "unit");
  if (Number.isNaN(value)) return "none";
  if (!Number.isFinite(value)) return value > 0 ? "no bound" : "no lower bound";
  if (unit === "%") return `${trim((value * 100).toPrecision(figures))} %`;
  if (value === 0) return unit === "" ? "0" : `0 ${unit}`;
  // A count has all its digits.
  if (unit === "" && Number.isSafeInteger(value)) return String(value);
  if (unit === "" || !/^[A-ZΩa-z]+(\/[A-Za-z]+)?$/.test(unit))
    return `${trim(value.toPrecision(figures))} ${unit}`.trim();
  // Rounding first decides the prefix, so that 999.96 mV becomes 1 V and not 1000 mV.
  const rounded = Number(value.toPrecision(figures));
  const exponent = Math.max(-18, Math.min(12, Math.floor(Math.log10(Math.abs(rounded)) / 3 + 1e-9) * 3));
  const scaled = exponent <= 0 ? rounded * 10 ** -exponent : rounded / 10 ** exponent;
  return `${trim(scaled.toPrecision(figures))} ${letters[exponent / 3 + 6]}${unit}`;
}

/** Prefixes from 10^-18 to 10^12, in steps of a thousand. */
const letters = ["a", "f", "p", "n", "µ", "m", "", "k", "M", "G", "T"];

function trim(text: string): string {
  if (/e/.test(text)) return String(Number(text));
  return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
}

/** A quantity as a double in SI units. */
export function si(q: Quantity): number {
  return toNumber(q.value);
}

/** A quantity in words for messages, e.g. `10 kV`. */
export function show(q: Quantity): string {
  return engineering(si(q), unitOf(q.dimension), 6);
}
