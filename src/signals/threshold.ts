// What a level commands of a switch with two thresholds, just after an instant: above `closeAbove` closed, below `openBelow`
// open, in between or resting on a threshold nothing. Exact: rationals are compared where doubles lie too close together.
import { type Fraction, fromNumber, ratio, toNumber } from "../base/fraction.js";
import type { PackedShape } from "./packed.js";

/** The two thresholds, `closeAbove` not below `openBelow`, in the unit of the scaled wave. */
export interface Thresholds {
  readonly closeAbove: Fraction;
  readonly openBelow: Fraction;
}

/** From `time` on (s) the wave commands closed, or open. */
export interface Decision {
  readonly time: Fraction;
  readonly closed: boolean;
}

/** The decisions of a wave without its gate. */
export interface Decisions {
  /** In order of time, those of a periodic wave within [0, period); neighbours may command the same. */
  readonly all: readonly Decision[];
  /** Seconds, where the wave repeats. */
  readonly period?: Fraction;
  /** What a wave without period commands before its first corner. */
  readonly before?: boolean;
}

/** What a level commands that moves with the sign of `change`: true for closed, undefined for nothing. */
export function commandOf(
  level: Fraction,
  change: Fraction,
  { closeAbove, openBelow }: Thresholds,
): boolean | undefined {
  const moves = change.n === 0n ? 0 : Number(change.s);
  return commandBySigns(level.compare(closeAbove), level.compare(openBelow), moves);
}

/** The same from the signs of the level less each threshold, and of its change. */
export function commandBySigns(over: number, under: number, moves: number): boolean | undefined {
  if (over > 0 || (over === 0 && moves > 0)) return true;
  if (under < 0 || (under === 0 && moves < 0)) return false;
  return undefined;
}

/** Compares the levels of a packed shape, scaled, with one threshold. */
export class ThresholdSlicer {
  private readonly by: number;
  private readonly at: number;
  private readonly unsure: number;

  /** `threshold` in the unit of the scaled wave. */
  constructor(
    private readonly shape: PackedShape,
    private readonly scale: Fraction,
    private readonly threshold: Fraction,
  ) {
    this.by = toNumber(scale);
    this.at = toNumber(threshold);
    this.unsure = 1e-14 * (Math.abs(this.at) + Number.MIN_VALUE);
  }

  /** Sign of the level at corner i less the threshold. */
  side(i: number): number {
    const level = this.shape.values[i] * this.by;
    const apart = level - this.at;
    if (Math.abs(apart) > this.unsure + 1e-14 * Math.abs(level)) return apart > 0 ? 1 : -1;
    return levelAt(this.shape, this.scale, i).compare(this.threshold);
  }

  /** True if no stretch with a carrier reaches the threshold. */
  clear(): boolean {
    const { carrier, times } = this.shape;
    if (!carrier) return true;
    const carries = (i: number) => carrier.sine[i] !== 0 || carrier.cosine[i] !== 0;
    for (let i = 0; i < times.length; i++) {
      const j = (i + 1) % times.length;
      if (!carries(i) && !carries(j)) continue;
      if (this.swings(i) || this.swings(j) || this.side(i) !== this.side(j)) return false;
    }
    return true;
  }

  /** True where the carrier at corner i reaches beyond the threshold, either way. */
  swings(i: number): boolean {
    const { carrier, values } = this.shape;
    if (!carrier) return false;
    const [u, v] = [carrier.sine[i], carrier.cosine[i]];
    if (u === 0 && v === 0) return false;
    const apart = values[i] * this.by - this.at;
    const square = (u * u + v * v) * this.by * this.by;
    const rest = apart * apart - square;
    if (Math.abs(rest) > 1e-12 * (square + apart * apart)) return rest < 0;
    const exact = levelAt(this.shape, this.scale, i).sub(this.threshold);
    const size = fromNumber(u).pow(2).add(fromNumber(v).pow(2)).mul(this.scale.pow(2));
    return exact.mul(exact).lt(size);
  }

  /** Instant (s) in the segment from corner i at which the level is the threshold. */
  cut(i: number): Fraction {
    const { shape } = this;
    const j = (i + 1) % shape.times.length;
    const from = levelAt(shape, this.scale, i);
    const share = this.threshold.sub(from).div(levelAt(shape, this.scale, j).sub(from));
    const end = shape.times[j] + (j === 0 ? shape.length : 0);
    return shape.unit.mul(share.mul(ratio(end - shape.times[i])).add(ratio(shape.times[i])));
  }
}

/** The level at corner i of a packed shape, scaled, exact. */
export function levelAt(shape: PackedShape, scale: Fraction, i: number): Fraction {
  return fromNumber(shape.values[i]).mul(scale);
}
