// Runs near a set of values without running them: curves are taken to be straight in the values, so that one run for each value tells all.
import type { Curve, FitRuns } from "./fitruns.js";

/** Slopes by the values are taken over this share of them. */
const stride = 1e-3;

/** The curve of a capture near a set of values: at these, and by how much each value's change moves it. */
export interface NearCurves {
  readonly middle: Curve;
  readonly moved: readonly Curve[];
}

/** Curves near a set of values, straight in these: one run for each value. */
export class NearRuns {
  private readonly middle: readonly Curve[];
  private readonly sides: readonly (readonly Curve[] | undefined)[];
  /** By how much each value is changed. */
  readonly by: readonly number[];

  constructor(
    runs: FitRuns,
    readonly values: readonly number[],
  ) {
    this.by = values.map((v) => stride * v || stride);
    this.middle = runs.curves(values)!;
    this.sides = values.map((_, i) => runs.curves(values.map((v, k) => (k === i ? v + this.by[i] : v))));
  }

  curves(values: readonly number[]): readonly Curve[] {
    const moved = values.map((v, i) => (v - this.values[i]) / this.by[i]);
    return this.middle.map((middle, k) => (time, shift) => {
      const base = middle(time, shift);
      const found = Float64Array.from(base);
      moved.forEach((share, i) => {
        const side = this.sides[i]?.[k];
        if (share === 0 || !side) return;
        const there = side(time, shift);
        for (let n = 0; n < found.length; n++) found[n] += share * (there[n] - base[n]);
      });
      return found;
    });
  }

  /** Whether a run comes of each change. */
  get known(): boolean {
    return !this.sides.includes(undefined);
  }

  /** The curve of a capture at these values, and by how much it moves where each value is changed, if that is known. */
  of(capture: number): NearCurves {
    const middle = this.middle[capture];
    const moved = this.sides.map(
      (side): Curve =>
        (time, shift) => {
          const base = middle(time, shift);
          return side![capture](time, shift).map((v, n) => v - base[n]);
        },
    );
    return { middle, moved };
  }
}
