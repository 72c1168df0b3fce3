// Noise of a stated size from a stated seed: straight lines from one random level to the next. The same seed gives the same bits
// everywhere: the generator works in whole numbers, the levels take only + - × ÷ √. Over one repeat the mean is zero and the root
// mean square is the one asked for, to rounding. The spacing limits the band: power falls to half near 0.32/spacing.
import type { Fraction } from "../base/fraction.js";
import { limitCorners, packedWave } from "./corners.js";
import { ShapeError, type Wave } from "./wave.js";

/**
 * @param of `rms` in volts (or amperes); `spacing` between levels and `length` after which the noise repeats, in
 *   seconds (the length is rounded down to whole spacings); `seed`, any whole number up to 2^53
 * Throws ShapeError `no-length` (fewer than two spacings, or none), `no-count` (the seed) or `too-many-corners`.
 */
export function noise(of: { rms: Fraction; spacing: Fraction; seed: number; length: Fraction }): Wave {
  const { spacing, length, seed } = of;
  if (!Number.isSafeInteger(seed)) throw new ShapeError("no-count", "a seed is a whole number");
  if (spacing.s < 0n || spacing.n === 0n || length.lt(spacing.mul(2))) {
    throw new ShapeError("no-length", "noise needs a spacing and a length of at least two of them");
  }
  const { n, d } = length.div(spacing);
  const count = Number(n / d);
  limitCorners(count, "this noise");
  const random = new Random(seed);
  const values = new Float64Array(count);
  for (let i = 0; i < count; i++) values[i] = random.normal();
  let mean = 0;
  for (const v of values) mean += v / count;
  for (let i = 0; i < count; i++) values[i] -= mean;
  // The mean square of a straight line from a to b is (a² + ab + b²)/3; the mean is that of the corners.
  let square = 0;
  for (let i = 0; i < count; i++) {
    const [a, b] = [values[i], values[(i + 1) % count]];
    square += (a * a + a * b + b * b) / (3 * count);
  }
  const size = Math.sqrt(square);
  // If all levels happen to be equal, the size is zero, and so they stay.
  if (size > 0) for (let i = 0; i < count; i++) values[i] /= size;
  const times = Float64Array.from({ length: count }, (_, i) => i);
  return packedWave({ unit: spacing, times, values, length: count }, of.rms);
}

/** The generator of G. Marsaglia, Journal of Statistical Software 8(14), 2003, section 3: four words, shifts 11, 8, 19. */
export class Random {
  private x = 123456789;
  private y = 362436069;
  private z = 521288629;
  private w = 88675123;

  /** The seed is mixed into two of the words; seed 0 is the generator as published. */
  constructor(seed: number) {
    this.w ^= (seed % 2 ** 32) | 0;
    this.z ^= Math.floor(seed / 2 ** 32) | 0;
    // Neighbouring seeds take some rounds to part ways.
    if (seed !== 0) for (let i = 0; i < 64; i++) this.word();
  }

  /** 32 random bits as a whole number. */
  word(): number {
    const t = this.x ^ (this.x << 11);
    this.x = this.y;
    this.y = this.z;
    this.z = this.w;
    this.w = this.w ^ (this.w >>> 19) ^ t ^ (t >>> 8);
    return this.w >>> 0;
  }

  /** Mean 0, variance 1, nearly normal: the sum of twelve uniform numbers (each of variance 1/12), so within ±6. */
  normal(): number {
    let sum = 0;
    for (let i = 0; i < 12; i++) sum += (this.word() + 0.5) / 2 ** 32;
    return sum - 6;
  }
}
