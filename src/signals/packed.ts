// Waves with very many corners (a whole frame of video, a stretch of noise), kept in typed arrays. Corner times are whole
// multiples of one exact unit, so they are as exact as rationals and their common divisor is known at once. Corners are sorted,
// lie in [0, length), and no two share an instant.
// A carrier may ride on such a wave. Its two components run straight from corner to corner as the level does, so bursts have
// envelopes, colours have phases, and nothing jumps; its phase counts from time zero whatever the corners do.
import { type Fraction, ratio } from "../base/fraction.js";

/** The carrier of a packed shape: sine[i] · sin φ + cosine[i] · cos φ with φ = 2π · frequency · t, t from time zero. */
interface Carrier {
  /** Hertz. */
  readonly frequency: Fraction;
  /** Components at each corner, in the unit of `values`; straight between corners. */
  readonly sine: Float64Array;
  readonly cosine: Float64Array;
}

/** A periodic wave whose corners are whole multiples of a unit. */
export interface PackedShape {
  readonly kind: "packed";
  /** Seconds. */
  readonly unit: Fraction;
  /** Corner times in units, whole numbers. */
  readonly times: Float64Array;
  /** Level at each corner, before scaling. */
  readonly values: Float64Array;
  /** Units after which the corners repeat, a whole number. */
  readonly length: number;
  /** Seconds after which everything repeats, the carrier's phase too. */
  readonly period: Fraction;
  readonly carrier?: Carrier;
  /**
   * Instants in units, sorted and within [0, length), of things that a check may count by, e.g. the `lines` and
   * `fields` of video; the first entry stands for the periods of the signal. Absent: periods begin where it rises.
   */
  readonly periodStarts?: ReadonlyMap<string, Float64Array>;
  /** Of video: the average picture level (0 black, 1 white) of each frame from time zero on, repeating. */
  readonly picture?: {
    /** Seconds per frame (without interlace a field). */
    readonly frame: Fraction;
    readonly levels: Float64Array;
  };
  /** Level outside `starts` to `stops`. */
  readonly idle: Fraction;
}

/** The time after which a wave of a length (s) with a carrier (Hz) repeats, the carrier's phase too. */
export function periodWithCarrier(length: Fraction, frequency?: Fraction): Fraction {
  return frequency ? length.mul(ratio(length.mul(frequency).d)) : length;
}

/** Size of the carrier at corner i, in the unit of the levels; 0 without one. */
function carrierAt({ carrier }: PackedShape, i: number): number {
  if (!carrier) return 0;
  const [u, v] = [carrier.sine[i], carrier.cosine[i]];
  return u === 0 ? Math.abs(v) : v === 0 ? Math.abs(u) : Math.sqrt(u * u + v * v);
}

/** The lowest and the highest level of a packed shape, before scaling; with a carrier its size counts in full. */
export function packedRange(shape: PackedShape): { low: number; high: number } {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  // Level plus or minus the size of two straight components: the extremes lie at corners.
  for (let i = 0; i < shape.values.length; i++) {
    const size = carrierAt(shape, i);
    low = Math.min(low, shape.values[i] - size);
    high = Math.max(high, shape.values[i] + size);
  }
  return { low, high };
}
