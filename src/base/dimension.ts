// Dimensions of electrical quantities as exponents of volt, ampere and second: three are enough for circuits
// (ohm = V/A, farad = A s/V, henry = V s/A, watt = V A, hertz = 1/s).

/** Exponents of volt, ampere and second. */
export interface Dimension {
  readonly volt: number;
  readonly ampere: number;
  readonly second: number;
}

function dim(volt: number, ampere: number, second: number): Dimension {
  return { volt, ampere, second };
}

export const number = dim(0, 0, 0);
export const voltage = dim(1, 0, 0);
export const current = dim(0, 1, 0);
export const time = dim(0, 0, 1);
export const frequency = dim(0, 0, -1);
export const resistance = dim(1, -1, 0);
export const capacitance = dim(-1, 1, 1);
export const inductance = dim(1, -1, 1);
export const power = dim(1, 1, 0);
export const energy = dim(1, 1, 1);
export const charge = dim(0, 1, 1);

/** True when both have the same exponents. */
export function same(a: Dimension, b: Dimension): boolean {
  return a.volt === b.volt && a.ampere === b.ampere && a.second === b.second;
}

/** Dimension of a product (`sign` 1) or a quotient (`sign` -1). */
export function combine(a: Dimension, b: Dimension, sign: 1 | -1 = 1): Dimension {
  return dim(a.volt + sign * b.volt, a.ampere + sign * b.ampere, a.second + sign * b.second);
}

const named: readonly [Dimension, string, string][] = [
  [number, "", "a plain number"],
  [voltage, "V", "a voltage"],
  [current, "A", "a current"],
  [time, "s", "a time"],
  [frequency, "Hz", "a frequency"],
  [resistance, "Ω", "a resistance"],
  [capacitance, "F", "a capacitance"],
  [inductance, "H", "an inductance"],
  [power, "W", "a power"],
  [energy, "J", "an energy"],
  [charge, "C", "a charge"],
  [dim(-1, 1, 0), "A/V", "a transconductance"],
  [dim(1, 0, -1), "V/s", "a slope in volts a second"],
  [dim(0, 1, -1), "A/s", "a slope in amperes a second"],
  [dim(2, 0, 0), "V²", "a squared voltage"],
  [dim(0, 2, 0), "A²", "a squared current"],
];

/** SI unit of a dimension, e.g. `V` or `V·s⁻²`; empty for a plain number. */
export function unitOf(d: Dimension): string {
  const known = named.find(([k]) => same(k, d));
  if (known) return known[1];
  const part = (symbol: string, n: number) => (n === 0 ? [] : n === 1 ? [symbol] : [symbol + superscript(n)]);
  return [...part("V", d.volt), ...part("A", d.ampere), ...part("s", d.second)].join("·");
}

/** A dimension in words, with its article: "a voltage". */
export function nameOf(d: Dimension): string {
  return named.find(([k]) => same(k, d))?.[2] ?? `a quantity in ${unitOf(d)}`;
}

function superscript(n: number): string {
  return [...String(n)].map((c) => (c === "-" ? "⁻" : "⁰¹²³⁴⁵⁶⁷⁸⁹"[Number(c)])).join("");
}
