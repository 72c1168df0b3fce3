// The spot of a beam: a round Gaussian bell of light, laid onto pixels.
// However small the spot is against a pixel, it lays down exactly the light it was given, except for what falls outside the
// picture.
import { Bell } from "./bell.js";

/** A Gaussian falls to half at 1.17741 standard deviations, √(2 ln 2), from its centre. */
const halfWidth = 1.1774100225154747;

/** Points of light: their positions in a first and a second direction, px, and their amounts. */
export interface Points {
  readonly places: Float64Array;
  readonly levels: Float64Array;
  readonly amounts: Float64Array;
}

/** A spot of one size over one picture. */
export class Spot {
  /** Horizontal, and vertical. */
  readonly across: Bell;
  readonly down: Bell;
  // The current spot's light on each column.
  private readonly columns: Float64Array;

  /**
   * @param light pixels row by row, to be added to
   * @param size width of the spot at half of its light, as a share of the picture's height
   * @param aspect width of the picture over its height, as it is seen
   */
  constructor(
    readonly light: Float64Array,
    width: number,
    height: number,
    size: number,
    aspect: number,
  ) {
    const deviation = size / (2 * halfWidth);
    // A spot much smaller than a pixel lights one pixel whatever its size, but a line of such spots would show their
    // spacing. A quarter of a pixel is as sharp as pixels can show.
    this.across = new Bell(Math.max(0.25, (deviation * width) / aspect), width, 1);
    this.down = new Bell(Math.max(0.25, deviation * height), height, width);
    this.columns = new Float64Array(this.across.taps);
  }

  /** Adds spots at the first `count` points, px from the top left corner of the picture. */
  lay({ places, levels, amounts }: Points, count: number): void {
    for (let k = 0; k < count; k++) if (amounts[k] > 0) this.one(places[k], levels[k], amounts[k]);
  }

  private one(x: number, y: number, amount: number): void {
    const { columns, across } = this;
    const { taps, places, shares, size } = across;
    const edge = x - across.margin;
    const left = Math.floor(edge);
    if (!(left > -taps && left < size)) return;
    const place = (edge - left) * places;
    const at = Math.floor(place);
    const [after, before] = [amount * (place - at), amount * (1 - place + at)];
    for (let k = 0, p = at * taps; k < taps; k++, p++)
      columns[k] = before * shares[p] + after * shares[p + taps];
    const from = Math.max(0, -left);
    const to = Math.min(taps, size - left);
    const { down, light } = this;
    const top = y - down.margin;
    const first = Math.floor(top);
    if (!(first > -down.taps && first < down.size)) return;
    const level = (top - first) * down.places;
    const row = Math.floor(level);
    const rest = level - row;
    const last = Math.min(down.taps, down.size - first);
    for (let j = Math.max(0, -first); j < last; j++) {
      const p = row * down.taps + j;
      const part = down.shares[p] + rest * (down.shares[p + down.taps] - down.shares[p]);
      const start = (first + j) * down.stride + left;
      for (let k = from; k < to; k++) light[start + k] += part * columns[k];
    }
  }
}
