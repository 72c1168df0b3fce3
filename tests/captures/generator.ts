// Captures made without the library: the closed form of a line sweep and a random stream of its own.

/** Even numbers from 0 to 1: mulberry32, a counter and a mix of 32 bits (public domain). */
export function evens(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), a | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** Normal numbers of deviation 1 (G. E. P. Box & M. E. Muller, Ann. Math. Stat. 29, 1958). */
export function normals(seed: number): () => number {
  const next = evens(seed);
  return () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
}

/** A line sweep's values, SI. */
export interface SweepValues {
  readonly current: number;
  readonly capacitance: number;
  /** Resistance of the closed switch. */
  readonly on: number;
  /** Output resistance of the source, and the voltage at which it gives its current: the supply less the headroom. */
  readonly output: number;
  readonly supply: number;
  /** Period, and how long the switch is closed at its begin. */
  readonly period: number;
  readonly reset: number;
}

/** The line sweep of `examples/line.ramp`, 625 lines: 64 us, a sync of 4.7 us at half of its height (ITU-R BT.1700). */
export const lineSweep: SweepValues = {
  current: 1e-3,
  capacitance: 15e-9,
  on: 5,
  output: 2e6,
  supply: 12 - 0.9,
  period: 64e-6,
  reset: 4.7e-6,
};

/**
 * A ramp's closed form in its periodic state (Millman & Taub 1965): exponentials to where source and resistances lead, one
 * while the switch is closed, one while it is open, which meet. Time zero is the instant at which the switch closes.
 */
export function sweep(v: SweepValues): (t: number) => number {
  const closed = 1 / v.on + 1 / v.output;
  const towards = v.current + v.supply / v.output;
  const [low, high] = [towards / closed, towards * v.output];
  const [fast, slow] = [v.capacitance / closed, v.capacitance * v.output];
  const [a, b] = [Math.exp(-v.reset / fast), Math.exp(-(v.period - v.reset) / slow)];
  // top = high + (bottom - high) b, bottom = low + (top - low) a
  const top = (high * (1 - b) + low * (1 - a) * b) / (1 - a * b);
  const bottom = low + (top - low) * a;
  return (t) => {
    const into = t - v.period * Math.floor(t / v.period);
    return into < v.reset
      ? low + (top - low) * Math.exp(-into / fast)
      : high + (bottom - high) * Math.exp(-(into - v.reset) / slow);
  };
}

/** How an instrument takes samples. */
export interface Instrument {
  readonly samples: number;
  /** Distance of two samples, s. */
  readonly interval: number;
  /** When the first is taken, s after the switch closes; its own clock says 0 then. */
  readonly begin: number;
  /** Step of its scale, and the deviation of its noise, V. */
  readonly step: number;
  readonly noise: number;
  readonly gain?: number;
  readonly offset?: number;
}

/** A curve, or one for each channel. */
type Curves = ((t: number) => number) | readonly ((t: number) => number)[];

/** A capture as text, as an instrument writes it. */
export function captureText(curves: Curves, how: Instrument, seed: number): string {
  const next = normals(seed);
  const { gain = 1, offset = 0 } = how;
  const channels = typeof curves === "function" ? [curves] : curves;
  const rows = Array.from({ length: how.samples }, (_, k) => {
    const shown = channels.map((curve) => {
      const seen = gain * curve(how.begin + k * how.interval) + offset + how.noise * next();
      return (Math.round(seen / how.step) * how.step).toFixed(5);
    });
    return `${(k * how.interval).toExponential(6)},${shown.join(",")}`;
  });
  const heads = channels.map((_, i) => `CH${i + 1} (V)`);
  return `made by,a generator\nTime (s),${heads.join(",")}\n${rows.join("\n")}\n`;
}
