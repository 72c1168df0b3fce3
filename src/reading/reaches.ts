// Which stretches of a long trace can set a new extreme, for checks that need only its lowest and highest value. A video path on
// a floating rail turns a million times in a frame, and all but a few hundred of these turns stay far inside the others.
// Always: a stretch left coarse lies between two values already seen in its window, by a margin of several times its own bend.
import type { CubicJudge, Seen } from "./accuracy.js";
import type { TickSpan } from "./surveying.js";

/** Up to this many samples, a trace is drawn in full whatever it is needed for. */
export const manySamples = 100_000;

/** A stretch is assumed to leave its cubic by at most this many times the error seen at its middle. */
const play = 4;
/** How far, in ticks, the ends of windows may be off, since they are given in seconds. */
const near = 16;

/** Ways, up or down, at the start of a window in which nothing is left coarse. */
const handedOver = 2;

/** The lowest and highest values seen so far in the current window. */
export class Reaches {
  private windows: readonly TickSpan[] | undefined = undefined;
  private at = 0;
  private low = Number.POSITIVE_INFINITY;
  private high = Number.NEGATIVE_INFINITY;
  private way = 0;
  /** How many ways are still to go that may come from the window before. */
  private leaving = handedOver;

  /** @param found the windows in which values are compared, in ticks, disjoint and in order; called only for a long trace */
  constructor(private readonly found: () => readonly TickSpan[]) {}

  /** Whether the stretch from a to b, judged by m between them, can hold neither the lowest nor the highest value of its window. */
  spares(a: Seen, m: Seen, b: Seen, judge: CubicJudge): boolean {
    this.go(a.tick);
    const window = this.windows![this.at];
    const begin = window?.from ?? Number.POSITIVE_INFINITY;
    if (b.tick < begin - near) return true;
    if (a.tick < begin + near || b.tick > window.to - near) return false;
    this.meet(a.value);
    this.meet(b.value);
    this.leave(a.value, b.value);
    const { bend, allowed } = judge.bounds(a, b);
    const off = bend + play * (judge.off(a, m, b) + allowed);
    return Math.min(a.value, b.value) - off > this.low && Math.max(a.value, b.value) + off < this.high;
  }

  /** Moves to the first window that ends after a tick. */
  private go(tick: number): void {
    this.windows ??= this.found();
    const { windows } = this;
    while (this.at < windows.length && windows[this.at].to + near < tick) {
      this.at++;
      this.low = Number.POSITIVE_INFINITY;
      this.high = Number.NEGATIVE_INFINITY;
      this.way = 0;
      this.leaving = handedOver;
    }
  }

  /**
   * As long as a window goes on the way it starts, it may be on its way back from what the one before it reached, which is none of
   * its own values; or first on its way there, and then back.
   */
  private leave(a: number, b: number): void {
    if (this.leaving === 0) return;
    this.way ||= Math.sign(b - a);
    if ((b - a) * this.way < 0) {
      this.way = -this.way;
      this.leaving--;
      if (this.leaving === 0) return;
    }
    this.low = b;
    this.high = b;
  }

  private meet(value: number): void {
    if (value < this.low) this.low = value;
    if (value > this.high) this.high = value;
  }
}
