// Dimensions of electrical quantities as exponents of volt, ampere, second and kelvin: the first three are enough for
// circuits (ohm = V/A, farad = A s/V, henry = V s/A, watt = V A, hertz = 1/s), the fourth is for drift with temperature.
import { handed } from "./handed.js";

/** A dimension as the exponents, whole numbers, of four units: for a resistance `volt` is 1, `ampere` -1, the others 0. */
export interface Dimension {
  /** Exponent of the volt. */
  readonly volt: number;
  /** Exponent of the ampere. */
  readonly ampere: number;
  /** Exponent of the second. */
  readonly second: number;
  /** Exponent of the kelvin. */
  readonly kelvin: number;
}

function dim(volt: number, ampere: number, second: number, kelvin = 0): Dimension {
  return { volt, ampere, second, kelvin };
}

/**
 * The basic dimensions of the values of a design; `combine` makes others from them.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * dimension.voltage; // { volt: 1, ampere: 0, second: 0, kelvin: 0 }
 * ```
 */
export const dimension = {
  /** A plain number, a share or a count. */
  number: dim(0, 0, 0),
  /** In volts. */
  voltage: dim(1, 0, 0),
  /** In amperes. */
  current: dim(0, 1, 0),
  /** In seconds. */
  time: dim(0, 0, 1),
  /** In hertz, 1/s. */
  frequency: dim(0, 0, -1),
  /** In ohms, V/A. */
  resistance: dim(1, -1, 0),
  /** In farads, A s/V. */
  capacitance: dim(-1, 1, 1),
  /** In henries, V s/A. */
  inductance: dim(1, -1, 1),
  /** In watts, V A. */
  power: dim(1, 1, 0),
  /** In joules, V A s. */
  energy: dim(1, 1, 1),
  /** In coulombs, A s. */
  charge: dim(0, 1, 1),
  /** A difference in temperature, in kelvins. */
  temperature: dim(0, 0, 0, 1),
} as const;

/** True when both have the same exponents. */
export function sameDimension(a: Dimension, b: Dimension): boolean {
  return a.volt === b.volt && a.ampere === b.ampere && a.second === b.second && a.kelvin === b.kelvin;
}

/**
 * Dimension of a product (`sign` 1) or a quotient (`sign` -1).
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * combine(dimension.voltage, dimension.time, -1); // { volt: 1, ampere: 0, second: -1, kelvin: 0 }
 * ```
 */
export function combine(a: Dimension, b: Dimension, sign: 1 | -1 = 1): Dimension {
  handed("dimension", a, "a");
  handed("dimension", b, "b");
  return dim(
    a.volt + sign * b.volt,
    a.ampere + sign * b.ampere,
    a.second + sign * b.second,
    a.kelvin + sign * b.kelvin,
  );
}

const named: readonly [Dimension, string, string][] = [
  [dimension.number, "", "a plain number"],
  [dimension.voltage, "V", "a voltage"],
  [dimension.current, "A", "a current"],
  [dimension.time, "s", "a time"],
  [dimension.frequency, "Hz", "a frequency"],
  [dimension.resistance, "Ω", "a resistance"],
  [dimension.capacitance, "F", "a capacitance"],
  [dimension.inductance, "H", "an inductance"],
  [dimension.power, "W", "a power"],
  [dimension.energy, "J", "an energy"],
  [dimension.charge, "C", "a charge"],
  [dimension.temperature, "K", "a difference in temperature"],
  [dim(0, 0, 0, -1), "1/K", "a share a kelvin"],
  [dim(-1, 1, 0), "A/V", "a transconductance"],
  [dim(1, 0, -1), "V/s", "a slope in volts a second"],
  [dim(0, 1, -1), "A/s", "a slope in amperes a second"],
  [dim(2, 0, 0), "V²", "a squared voltage"],
  [dim(0, 2, 0), "A²", "a squared current"],
];

/** SI unit of a dimension, e.g. `V` or `V·s⁻²`; empty for a plain number. */
export function unitOf(d: Dimension): string {
  const known = named.find(([k]) => sameDimension(k, d));
  if (known) return known[1];
  const each = perKelvin(d);
  if (each) return `${each[1]}/K`;
  const part = (symbol: string, n: number) => (n === 0 ? [] : n === 1 ? [symbol] : [symbol + superscript(n)]);
  return [...part("V", d.volt), ...part("A", d.ampere), ...part("s", d.second), ...part("K", d.kelvin)].join(
    "·",
  );
}

/** A dimension in words, with its article: "a voltage". */
export function nameOf(d: Dimension): string {
  const each = perKelvin(d);
  if (each) return `${each[2]} a kelvin`;
  return named.find(([k]) => sameDimension(k, d))?.[2] ?? `a quantity in ${unitOf(d)}`;
}

function perKelvin(d: Dimension) {
  if (d.kelvin !== -1 || sameDimension(d, dim(0, 0, 0, -1))) return undefined;
  return named.find(([k]) => sameDimension(k, { ...d, kelvin: 0 }));
}

function superscript(n: number): string {
  return [...String(n)].map((c) => (c === "-" ? "⁻" : "⁰¹²³⁴⁵⁶⁷⁸⁹"[Number(c)])).join("");
}
