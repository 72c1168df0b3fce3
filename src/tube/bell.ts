// One direction of the spot: how the light of a bell (Gaussian) falls onto a row of pixels.
// The shares of a bell on the pixels add up to one, and their middle is the bell's own. They are made once, for places a small
// part of the bell apart, and read linearly between these.
import { exponential } from "../base/powers.js";

/** Where the bell ends, in standard deviations: 6e-5 of its light lie beyond, and are shared out inside. */
const reach = 4;
/** Steps of the table of the integral over 2 · reach. */
const steps = 4096;
/** Places per standard deviation for which shares are made: read linearly they are right to 8e-6 of the tallest. */
const fine = 128;

/** A bell over a row of pixels. */
export class Bell {
  /** How far from its middle it reaches, px. */
  readonly margin: number;
  /** How many pixels it can touch. */
  readonly taps: number;
  /** Places within a pixel for which there are shares. */
  readonly places: number;
  /** Shares by place, `taps` of them each, for places 0 to `places`, both included. */
  readonly shares: Float64Array;

  /**
   * @param deviation standard deviation, px
   * @param size pixels in the row
   * @param stride from one of them to the next in the picture
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
      // The bell begins this far behind the left edge of the first pixel.
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

/** Light of a bell below a place of the table. */
function below(table: Float64Array, place: number): number {
  if (place <= 0) return 0;
  if (place >= steps) return 1;
  const i = Math.floor(place);
  return table[i] + (table[i + 1] - table[i]) * (place - i);
}

/** Integral of the bell from −reach on, 1 at its end; by Simpson's rule, whose error is far below the table's own. */
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
