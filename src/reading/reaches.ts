// Where a long trace goes beyond what it has shown, for checks that look at its lowest and highest value alone: a video path that
// feels a rail which floats turns a million times in a frame, and all but a few hundred of its turns stay far within the others.
// Always: what is left undrawn stays between values that stand in the same window, by many times what is seen of its bends.
import type { CubicJudge, Seen } from "./accuracy.js";
import type { TickSpan } from "./surveying.js";

/** So many samples of a trace are drawn whichever way it is looked at. */
export const manySamples = 100_000;

/** A stretch is off its cubic by no more than so many times what a look at it was off by. */
const play = 4;
/** Ticks by which the ends of windows, which are given in seconds, may be off. */
const near = 16;

/** The lowest and highest values so far in the window in hand. */
export class Reaches {
  private windows: readonly TickSpan[] | undefined;
  private at = 0;
  private low = Number.POSITIVE_INFINITY;
  private high = Number.NEGATIVE_INFINITY;

  /** @param found the windows in which values are compared, in ticks, apart and in order; asked for where a trace is long */
  constructor(private readonly found: () => readonly TickSpan[]) {}

  /** Whether what lies between two looks, as a third in between shows it, can be neither the lowest nor the highest of its window. */
  spares(a: Seen, m: Seen, b: Seen, judge: CubicJudge): boolean {
    this.go(a.tick);
    const window = this.windows![this.at];
    const begin = window?.from ?? Number.POSITIVE_INFINITY;
    if (b.tick < begin - near) return true;
    if (a.tick < begin + near || b.tick > window.to - near) return false;
    this.meet(a.value);
    this.meet(b.value);
    const { bend, allowed } = judge.bounds(a, b);
    const off = bend + play * (judge.off(a, m, b) + allowed);
    return Math.min(a.value, b.value) - off > this.low && Math.max(a.value, b.value) + off < this.high;
  }

  /** Goes to the window that ends behind a tick. */
  private go(tick: number): void {
    this.windows ??= this.found();
    const { windows } = this;
    while (this.at < windows.length && windows[this.at].to + near < tick) {
      this.at++;
      this.low = Number.POSITIVE_INFINITY;
      this.high = Number.NEGATIVE_INFINITY;
    }
  }

  private meet(value: number): void {
    if (value < this.low) this.low = value;
    if (value > this.high) this.high = value;
  }
}
