// One direction of the spot: how the light of a bell (Gaussian) falls onto a row of pixels.
// A bell's shares over the pixels add up to one and keep its centre. They are tabulated once, at positions a small fraction of
// the bell apart, and interpolated linearly.
import { exponential } from "../base/powers.js";

/** Where the bell is cut off, in standard deviations: the 6e-5 of its light beyond is spread over the rest. */
const reach = 4;
/** Steps of the table of the integral over 2 · reach. */
const steps = 4096;
/** Tabulated positions per standard deviation: linear interpolation is then right to 8e-6 of the tallest share. */
const fine = 128;

/** A bell over a row of pixels. */
export class Bell {
  /** How far from its middle it reaches, px. */
  readonly margin: number;
  /** How many pixels it can touch. */
  readonly taps: number;
  /** Tabulated positions within a pixel. */
  readonly places: number;
  /** Shares by position, `taps` of them each, for positions 0 to `places` inclusive. */
  readonly shares: Float64Array;

  /**
   * @param deviation standard deviation, px
   * @param size pixels in the row
   * @param stride distance from one of them to the next in the picture's array
   */
  constructor(
    readonly deviation: number,
    readonly size: number,
    readonly stride: number,
  ) {
    this.margin = reach * deviation;
    this.taps = Math.ceil(2 * this.margin) + 1;
    this.places = Math.ceil(fine / deviation);
    this.shares = new Float64Array((this.places + 1) * this.taps);
    const table = integral();
    const scale = steps / (2 * this.margin);
    for (let p = 0; p <= this.places; p++) {
      // How far the bell's start lies beyond the left edge of the first pixel.
      const start = p / this.places;
      let before = 0;
      for (let k = 0; k < this.taps; k++) {
        const after = below(table, (k + 1 - start) * scale);
        this.shares[p * this.taps + k] = after - before;
        before = after;
      }
    }
  }
}

/** Light of the bell below a position in the table. */
function below(table: Float64Array, place: number): number {
  if (place <= 0) return 0;
  if (place >= steps) return 1;
  const i = Math.floor(place);
  return table[i] + (table[i + 1] - table[i]) * (place - i);
}

/** Integral of the bell from −reach, normalized to 1 at its end; Simpson's rule, whose error is far below the table's own. */
function integral(): Float64Array {
  const table = new Float64Array(steps + 1);
  const h = (2 * reach) / steps;
  const height = (x: number) => exponential((-x * x) / 2);
  for (let i = 0; i < steps; i++) {
    const x = i * h - reach;
    table[i + 1] = table[i] + height(x) + 4 * height(x + h / 2) + height(x + h);
  }
  const whole = table[steps];
  return table.map((v) => v / whole);
}
