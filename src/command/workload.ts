// A first estimate of the work of a run: the corners of its signals.
import { toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import type { Wave } from "../signals/wave.js";

/** Approximate number of corners of a design's signals in a time (s). */
export function cornersOf({ parts }: Design, length: number): number {
  return parts.reduce((sum, { wave }) => sum + (wave ? cornersIn(wave, length) : 0), 0);
}

/** Approximate number of corners of a wave in a time (s); a carrier has two per period. */
function cornersIn({ shape }: Wave, length: number): number {
  switch (shape.kind) {
    case "constant":
      return 0;
    case "sine":
      return 2 * toNumber(shape.frequency) * length;
    case "packed": {
      const carrier = shape.carrier ? 2 * toNumber(shape.carrier.frequency) : 0;
      return length * (shape.times.length / (shape.length * toNumber(shape.unit)) + carrier);
    }
    default:
      return shape.corners.length * (shape.period ? length / toNumber(shape.period) : 1);
  }
}
