// Gathers the corners of a packed wave. A count beyond the limit is refused before memory is taken for it. Of three successive
// corners on one level the middle one is left out, so painting a level twice costs nothing.
import { type Fraction, one, ratio, zero } from "../base/fraction.js";
import { type PackedShape, periodWithCarrier } from "./packed.js";
import { ShapeError, type Wave } from "./wave.js";

/** The most corners of a packed shape: what a builder checks before it takes memory. */
export const mostCorners = 4_000_000;

/** Refuses with `too-many-corners` before memory is taken. `what` names the wave, as in "this noise". */
export function limitCorners(count: number, what: string): void {
  if (count <= mostCorners) return;
  throw new ShapeError(
    "too-many-corners",
    `${what} would have ${count} corners, more than ${mostCorners}`,
    "ask for less detail or for a shorter repeat",
  );
}

/** A packed shape as a wave; `scale` in volts (or amperes) for one of its levels. */
export function packedWave(
  shape: Omit<PackedShape, "kind" | "period" | "idle">,
  scale: Fraction = one,
): Wave {
  const length = shape.unit.mul(ratio(shape.length));
  const period = periodWithCarrier(length, shape.carrier?.frequency);
  return { shape: { kind: "packed", ...shape, period, idle: zero }, scale };
}

/** Gathers the corners of a packed shape in order of time; the middle one of three on one level is left out. */
export class Corners {
  private count = 0;
  private time: Float64Array;
  private value: Float64Array;
  private readonly parts: [Float64Array, Float64Array] | undefined;

  /** Takes room for `expected` corners and grows as needed. */
  constructor(
    private readonly what: string,
    expected: number,
    carries: boolean,
  ) {
    limitCorners(expected, what);
    this.time = new Float64Array(expected);
    this.value = new Float64Array(expected);
    if (carries) this.parts = [new Float64Array(expected), new Float64Array(expected)];
  }

  /** A corner at a time (units, not before the last one; at the last one's time it is left out). */
  add(time: number, value: number, sine = 0, cosine = 0): void {
    let i = this.count;
    if (i > 0 && time === this.time[i - 1]) return;
    // The middle one of three on one level.
    if (i > 1 && this.same(i - 1, value, sine, cosine) && this.same(i - 2, value, sine, cosine)) i--;
    else if (i === this.time.length) this.grow();
    this.time[i] = time;
    this.value[i] = value;
    if (this.parts) {
      this.parts[0][i] = sine;
      this.parts[1][i] = cosine;
    }
    this.count = i + 1;
  }

  /** The arrays, with corners before time zero moved to the end of the length (units). */
  finish(
    length: number,
  ): Pick<PackedShape, "times" | "values"> & { sine?: Float64Array; cosine?: Float64Array } {
    let early = 0;
    while (early < this.count && this.time[early] < 0) early++;
    const turned = (from: Float64Array, shift = 0) => {
      const to = new Float64Array(this.count);
      to.set(from.subarray(early, this.count));
      for (let i = 0; i < early; i++) to[this.count - early + i] = from[i] + shift;
      return to;
    };
    const times = turned(this.time, length);
    const values = turned(this.value);
    if (!this.parts) return { times, values };
    return { times, values, sine: turned(this.parts[0]), cosine: turned(this.parts[1]) };
  }

  private same(i: number, value: number, sine: number, cosine: number): boolean {
    if (this.value[i] !== value) return false;
    return !this.parts || (this.parts[0][i] === sine && this.parts[1][i] === cosine);
  }

  private grow(): void {
    const size = Math.min(2 * this.count + 64, mostCorners);
    limitCorners(this.count + 1, this.what);
    const wider = (from: Float64Array) => {
      const to = new Float64Array(size);
      to.set(from);
      return to;
    };
    this.time = wider(this.time);
    this.value = wider(this.value);
    if (this.parts) {
      this.parts[0] = wider(this.parts[0]);
      this.parts[1] = wider(this.parts[1]);
    }
  }
}
