// The spot of a beam: a round bell of light (Gaussian), laid onto pixels.
// Takes where the middle of the spot stands, in pixels, and how much light; adds to each pixel the light that falls
// onto its area. Always: what a spot lays down is the light it was given, however small it is beside a pixel, except
// for what falls beside the picture.

import { exponential } from "./power.js";

/** Where the bell ends, in standard deviations: 6e-5 of its light lie beyond, and are shared out inside. */
const reach = 4;
/** Steps of the table over 2 · reach; read linearly it is right to 1.2e-7 of the light. */
const steps = 4096;
/** A Gaussian is half as high 1.17741 standard deviations, √(2 ln 2), beside its middle. */
const halfWidth = 1.1774100225154747;

/** A spot of one size over one picture. */
export class Spot {
  /** Standard deviations, px. */
  readonly across: number;
  readonly down: number;
  /** How far from its middle the spot reaches, px. */
  readonly marginAcross: number;
  readonly marginDown: number;
  // Light beside each edge of a pixel, as shares of the whole.
  private readonly columns: Float64Array;
  private readonly rows: Float64Array;
  private readonly table = bell();

  /**
   * @param light pixels row by row, to be added to
   * @param size width of the spot at half of its light, as a share of the picture's height
   * @param aspect width of the picture over its height, as it is seen
   */
  constructor(
    private readonly light: Float64Array,
    private readonly width: number,
    private readonly height: number,
    size: number,
    aspect: number,
  ) {
    const deviation = size / (2 * halfWidth);
    // A spot far smaller than a pixel lights one pixel whatever its size, but a line of such spots would show their
    // spacing: a quarter of a pixel is as sharp as pixels can show.
    this.across = Math.max(0.25, (deviation * width) / aspect);
    this.down = Math.max(0.25, deviation * height);
    this.marginAcross = reach * this.across;
    this.marginDown = reach * this.down;
    this.columns = new Float64Array(Math.ceil(2 * this.marginAcross) + 3);
    this.rows = new Float64Array(Math.ceil(2 * this.marginDown) + 3);
  }

  /** Adds a spot in the middle (x, y), px from the top left corner of the picture. */
  lay(x: number, y: number, amount: number): void {
    const { columns, rows, width, height, light } = this;
    const left = Math.max(0, Math.floor(x - this.marginAcross));
    const right = Math.min(width, Math.ceil(x + this.marginAcross));
    const top = Math.max(0, Math.floor(y - this.marginDown));
    const bottom = Math.min(height, Math.ceil(y + this.marginDown));
    if (!(left < right && top < bottom)) return;
    this.shares(x, this.across, left, right, columns);
    this.shares(y, this.down, top, bottom, rows);
    for (let row = top; row < bottom; row++) {
      const part = amount * rows[row - top];
      const at = row * width + left;
      for (let k = 0, end = right - left; k < end; k++) light[at + k] += part * columns[k];
    }
  }

  // The share of a bell around `middle` that falls onto each pixel from `first` on, before `last`.
  private shares(middle: number, deviation: number, first: number, last: number, out: Float64Array): void {
    const { table } = this;
    const scale = steps / (2 * reach * deviation);
    let place = (first - middle) * scale + steps / 2;
    let before = below(table, place);
    for (let k = 0, end = last - first; k < end; k++) {
      place += scale;
      const after = below(table, place);
      out[k] = after - before;
      before = after;
    }
  }
}

// Light of a bell below a place of the table.
function below(table: Float64Array, place: number): number {
  if (place <= 0) return 0;
  if (place >= steps) return 1;
  const i = Math.floor(place);
  return table[i] + (table[i + 1] - table[i]) * (place - i);
}

// Integral of the bell from −reach on, 1 at its end; by Simpson's rule, whose error is far below the table's own.
function bell(): Float64Array {
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
