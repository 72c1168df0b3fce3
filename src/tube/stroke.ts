// A stroke: the beam moving along one direction of the picture, as it nearly always does.
// For each column (of a beam that runs sideways) it gathers how much light falls there and where that light is centred. When the
// stroke ends, it lays each column's light down at once, as one bell across the path. The path is so flat that this hardly
// widens a column's bell: only by the slope squared, with both directions measured in standard deviations.
//
// Notation: "along" is the direction of the path, "aside" the other one.
import type { Bell } from "./bell.js";
import type { Points } from "./spot.js";

/** Steepest slope of a stroke: its columns are then 1/5000 too narrow. */
export const flattest = 1 / 50;
/** Two positions this close, in standard deviations, are the same. */
const speck = 1 / 512;

/** Strokes along one direction. */
export class Stroke {
  /** Light by pixel along the path, and the sum of light times position aside; with room for a bell at both ends. */
  private readonly mass: Float64Array;
  private readonly moment: Float64Array;
  /** The entries in use. */
  private first = 0;
  private last = 0;
  /** Where the path has got to: its direction, and its position along and aside. */
  private forth = true;
  private here = 0;
  private level = 0;

  constructor(
    private readonly light: Float64Array,
    private readonly along: Bell,
    private readonly aside: Bell,
  ) {
    this.mass = new Float64Array(along.size + 2 * along.taps);
    this.moment = new Float64Array(along.size + 2 * along.taps);
  }

  /**
   * Continues from one point to another, px; ends the stroke so far if this does not continue it.
   * @param stray how far outside these two points, along the path, the points to come may lie, px
   */
  go(from: number, level: number, to: number, next: number, stray: number): void {
    const { along, aside } = this;
    const forth = to === from ? this.forth : to > from;
    if (this.last > this.first) {
      const ahead = (forth ? from - this.here : this.here - from) / along.deviation;
      const off = Math.abs(level - this.level) / aside.deviation;
      if (forth !== this.forth || !(ahead >= -speck && off <= flattest * ahead + speck)) this.end();
    }
    this.forth = forth;
    this.here = to;
    this.level = next;
    const reach = along.margin + stray;
    const low = Math.floor(Math.min(from, to) - reach) + along.taps;
    const high = Math.ceil(Math.max(from, to) + reach) + along.taps + 1;
    const empty = this.last <= this.first;
    const first = Math.max(0, low);
    const last = Math.min(this.mass.length, high);
    if (!(first < last)) return;
    this.first = empty ? first : Math.min(this.first, first);
    this.last = empty ? last : Math.max(this.last, last);
  }

  /** Adds light at the first `count` points; their first direction is along. */
  lay(points: Points, count: number): void {
    const { mass, moment } = this;
    const { taps, places, shares, size, margin } = this.along;
    for (let k = 0; k < count; k++) {
      const amount = points.amounts[k];
      const edge = points.places[k] - margin;
      if (!(amount > 0 && edge >= -taps && edge < size)) continue;
      // Entry of the first pixel; `| 0` truncates and lets the engine keep it an integer.
      const first = (edge + taps) | 0;
      const fine = (edge + taps - first) * places;
      const at = fine | 0;
      const after = amount * (fine - at);
      const before = amount - after;
      const level = points.levels[k];
      let p = at * taps;
      for (let i = first, end = first + taps; i < end; i++, p++) {
        const part = before * shares[p] + after * shares[p + taps];
        mass[i] += part;
        moment[i] += part * level;
      }
    }
  }

  /** Lays down the light gathered so far. */
  end(): void {
    const { mass, moment, light, along, aside } = this;
    const { taps, places, shares, size, margin, stride } = aside;
    const from = Math.max(this.first, along.taps);
    const to = Math.min(this.last, along.taps + along.size);
    for (let i = from; i < to; i++) {
      const amount = mass[i];
      if (!(amount > 0)) continue;
      const edge = moment[i] / amount - margin;
      if (!(edge >= -taps && edge < size)) continue;
      const start = ((edge + taps) | 0) - taps;
      const fine = (edge - start) * places;
      const at = fine | 0;
      const after = amount * (fine - at);
      const before = amount - after;
      const last = Math.min(taps, size - start);
      let j = Math.max(0, -start);
      let p = at * taps + j;
      let pixel = (i - along.taps) * along.stride + (start + j) * stride;
      for (; j < last; j++, p++, pixel += stride)
        light[pixel] += before * shares[p] + after * shares[p + taps];
    }
    mass.fill(0, this.first, this.last);
    moment.fill(0, this.first, this.last);
    this.first = 0;
    this.last = 0;
  }
}
