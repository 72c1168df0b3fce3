// An axis: from quantities to pixels, with ticks at 1, 2 or 5 times a power of ten. All labels of an axis share one prefix (0,
// 50, 100 with "µs" given once). Ticks are whole multiples of the step, so that zero is exactly zero.

export interface Tick {
  readonly value: number;
  readonly label: string;
}

/** A range mapped to pixels. */
export interface Scale {
  readonly from: number;
  readonly to: number;
  readonly ticks: readonly Tick[];
  /** The unit of the labels with its prefix, e.g. `µs`. */
  readonly unit: string;
  /** Where the labels count from, in SI units; nonzero only for a short span long after the start. */
  readonly origin: number;
  /** Pixel of a value. */
  pixel(value: number): number;
}

/** The plotting area, in pixels. */
export interface Frame {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

const letters = ["f", "p", "n", "µ", "m", "", "k", "M", "G"];

/** The step that puts ticks at round values inside `from`..`to`, at most `room` intervals of them. */
export function roundStep(from: number, to: number, room: number): number {
  const raw = (to - from) / Math.max(1, room);
  // Found by trial, not by logarithm: exact at the boundaries, and the same on every machine.
  let power = 0;
  while (ten(power + 1) <= raw) power++;
  while (ten(power) > raw) power--;
  for (const digit of [1, 2, 5]) if (digit * ten(power) >= raw * (1 - 1e-9)) return digit * ten(power);
  return ten(power + 1);
}

export interface AxisRange {
  readonly from: number;
  readonly to: number;
}

/** Where an axis stands, in pixels. */
export interface AxisPlace {
  /** Pixel of `from`. */
  readonly start: number;
  /** Pixel of `to`; less than `start` on a vertical axis. */
  readonly end: number;
  /** Desired number of ticks. */
  readonly room: number;
}

/**
 * A scale over a range.
 * @param unit SI unit without prefix
 * @param far a range this many times its size away from zero is labelled from an origin near it
 * @param round true: the origin is a round value; false: it is `from` itself ("0 .. 60 µs after 19.2 ms")
 */
export function scale(
  { from, to }: AxisRange,
  unit: string,
  { start, end, room }: AxisPlace,
  { far = 100, round = false } = {},
): Scale {
  const step = roundStep(from, to, room);
  const apart = Math.min(Math.abs(from), Math.abs(to)) > far * (to - from) && from * to > 0;
  const neat = ten(decade(step) + 2);
  const origin = !apart ? 0 : round ? Math.round((from + to) / 2 / neat) * neat : from;
  const exponent = prefix(Math.max(Math.abs(from - origin), Math.abs(to - origin)));
  const letter = letters[exponent / 3 + 5];
  const first = Math.ceil((from - origin) / step - 1e-6);
  const last = Math.floor((to - origin) / step + 1e-6);
  // Ticks are counted in steps; the label is the exact decimal of count times step.
  const ticks: Tick[] = [];
  const decimals = Math.max(0, exponent - decade(step));
  for (let k = first; k <= last; k++) {
    const scaled = k * step * ten(-exponent);
    const digits = decimals <= 9 ? scaled.toFixed(decimals) : String(Number(scaled.toPrecision(6)));
    const label = k === 0 ? "0" : digits.replace("-", "\u2212");
    ticks.push({ value: origin + k * step, label });
  }
  const perUnit = (end - start) / (to - from);
  return { from, to, ticks, unit: letter + unit, origin, pixel: (v) => start + (v - from) * perUnit };
}

/** The same scale without a prefix if its unit takes none: per cent, and plain numbers. */
export function plainTicks(made: Scale, unit: string): Scale {
  if (unit !== "%" && unit !== "") return made;
  const ticks = made.ticks.map((t) => {
    const plain = String(Number((t.value - made.origin).toPrecision(6)));
    return { value: t.value, label: plain.replace("-", "\u2212") };
  });
  return { ...made, ticks, unit };
}

// A power of ten, correctly rounded on every machine, which the power operator does not guarantee.
function ten(power: number): number {
  return Number(`1e${power}`);
}

// The power of ten of a round step.
function decade(step: number): number {
  let power = 0;
  while (ten(power + 1) <= step * (1 + 1e-9)) power++;
  while (ten(power) > step * (1 + 1e-9)) power--;
  return power;
}

// The prefix with which the largest label reads between 1 and 1000.
function prefix(largest: number): number {
  let exponent = 9;
  while (exponent > -15 && largest < ten(exponent) * (1 - 1e-9)) exponent -= 3;
  return exponent;
}

/** A range with some margin above and below, and never empty. */
export function airy(low: number, high: number): AxisRange {
  const margin = 0.07 * (high - low || Math.abs(high) || 1);
  return { from: low - margin, to: high + margin };
}
