// How long the next step may be. A step's error is known before it is taken (stepmatrices.ts), and is judged twice: where it
// is made, against the tolerance (so any sample is that good); and by what is left of it when the states next change course,
// against a small share of the tolerance (a ramp and a ring keep their errors, a discharge forgets them). The next change of
// course is the next edge that moves a state, or the crossing that a control is heading for.

import type { Condensed } from "../equations/condense.js";
import { ErrorScales } from "./errorscales.js";
import { ticksOfGrowth } from "./growth.js";
import { higher, lower, rungBelow, ticks, top } from "./stepladder.js";
import type { Stepper } from "./stepper.js";

/** Share of the tolerance that lasting errors may add up to by the end of the run: a millionth of a swing by default. */
const lasting = 1 / 32;
/** The least share of that which one stretch of many may add. */
const stretch = 1 / 32;
/** A computed fade is used for this share of the way to the horizon. */
const stale = 1 / 8;
/** The fewest steps in a period of a sine, and in one that a capacitor follows: its energy is as good as these. */
const corners = 24;
const tiedCorners = 256;
/**
 * A control that approaches zero this many times faster than its average since the last event crosses so steeply that a
 * step's error hardly moves the instant: an edge, not a ramp that decides a period.
 */
const steep = 4;
/** How often to look nearer for where the states are heading, if a part would change its mode on the way. */
const looks = 12;

/** Chooses step sizes, rungs of the ladder, for one march. */
export class StepChoice {
  /** The next tick at which an edge makes the states change course. */
  private horizon = 0;
  /** Video has so many corners that finer rungs pay: powers of two would waste a third of the steps. */
  private readonly fine: boolean;
  private readonly scales: ErrorScales;
  private wanted = top;
  private fresh = true;
  /** The tick of the last event, and the guards just after it. */
  private since = 0;
  private early: Float64Array = new Float64Array(0);
  private readonly rest: Float64Array;
  private readonly faded: Float64Array;
  /** How much of an error made now is left at the horizon, and until when that figure is used. */
  private left = 1;
  private until = -1;
  /** Ticks in which growth leaves all bounds, here and by combination. */
  private growing = Number.POSITIVE_INFINITY;
  private readonly growths = new Map<Condensed, number>();
  /** Whether the last step judged could have been longer. */
  private roomy = true;

  /**
   * @param end the last tick of the run
   * @param damped whether steps are TR-BDF2
   * @param mended whether their known error is subtracted
   */
  constructor(
    private readonly stepper: Stepper,
    private readonly tolerance: number,
    private readonly end: number,
    private readonly damped: boolean,
    private readonly mended: boolean,
  ) {
    this.fine = stepper.inputs.crowded;
    this.scales = new ErrorScales(stepper);
    this.rest = new Float64Array(stepper.system.states.length);
    this.faded = new Float64Array(stepper.system.states.length);
  }

  /** After an event the last step says nothing about the next; the last entry into this combination does. Guards are known. */
  restart(): void {
    const { stepper, growths } = this;
    const { equations, now, tick } = stepper;
    const { guards } = now;
    this.growing = growths.get(equations) ?? ticksOfGrowth(equations, tick);
    growths.set(equations, this.growing);
    if (this.early.length !== guards.length) this.early = new Float64Array(guards.length);
    this.early.set(guards);
    this.since = this.stepper.n;
    this.wanted = higher(this.stepper.ladder.entry, this.fine);
    this.scales.enter();
    this.turn();
  }

  /** The sources have changed course. */
  turn(): void {
    this.fresh = true;
    this.until = -1;
    this.roomy = true;
    this.scales.turn();
  }

  /**
   * The highest rung whose error is allowed, not longer than `left` ticks.
   * @param horizon the next tick at which an edge makes the states change course
   */
  choose(left: number, horizon: number): number {
    this.horizon = horizon;
    const { inputs, ladder, tick, now, n } = this.stepper;
    const longest = inputs.finest(this.stepper.n) / tick / (ladder.tied ? tiedCorners : corners);
    let k = rungBelow(Math.min(left, longest), this.wanted, this.fine);
    if (this.fresh) this.foresee(left);
    const outlook = this.outlook();
    while (k > 0 && !this.allowed(k, now, n, outlook)) k = lower(k, this.fine);
    if (this.fresh) ladder.entry = k;
    return k;
  }

  /** After an attempted step: whether one about half as long would still be chosen at its end. */
  holds(k: number, h: number): boolean {
    if (k === 0) return true;
    const { stepper } = this;
    const end = stepper.n + h;
    return this.allowed(k, stepper.next, end, Math.min(this.horizon - end, this.growing), 8);
  }

  /** A step of rung k was kept: the next may be longer if there is room. */
  kept(k: number): void {
    this.fresh = false;
    this.scales.see();
    if (k >= this.wanted) {
      if (this.roomy) this.wanted = higher(k, this.fine);
    } else if (k < lower(this.wanted, this.fine)) this.wanted = lower(this.wanted, this.fine);
  }

  /** A step of rung k was not good enough. */
  refused(k: number): void {
    this.wanted = lower(k, false);
  }

  /** Ticks to the next change of course, as far as is known here. */
  private outlook(): number {
    const { stepper } = this;
    const { guards, rates } = stepper.now;
    const { guardOf } = stepper.equations;
    const gone = stepper.n - this.since;
    let left = Math.min(this.horizon - stepper.n, this.growing);
    for (let g = 0; g < guards.length; g++) {
      if (guards[g] > 0 || !guardOf[g].control) continue;
      const rise = rates[g] * stepper.tick;
      if (rise > 0 && rise * gone <= steep * Math.abs(guards[g] - this.early[g]))
        left = Math.min(left, -guards[g] / rise);
    }
    return left;
  }

  /** Finds where the states are heading until the next corner, as far as no part changes its mode on the way. */
  private foresee(left: number): void {
    const { stepper, scales } = this;
    scales.expect();
    let k = rungBelow(left);
    for (let look = 0; look < looks; look++) {
      const violated = stepper.glance(k);
      if (!violated) {
        scales.expect(stepper.next.x);
        return;
      }
      for (let by = 0; by < 4; by++) k = lower(k, false);
    }
  }

  /**
   * @param lax factor on the error allowed where it is made
   */
  private allowed(k: number, at: Stepper["now"], n: number, left: number, lax = 1): boolean {
    const { rest, stepper, tolerance, scales, damped, mended } = this;
    if (rest.length === 0) return true;
    const h = ticks[k];
    const rung = stepper.ladder.rung(k);
    const slip = stepper.judge(k, damped, at, n);
    const here = scales.share(slip, rung, h, (tolerance * lax) / 16, false);
    if (here > tolerance * lax) return false;
    if (mended) rung.rest(slip, rest);
    else rest.set(slip);
    const end = Math.min(this.end, this.growing);
    const whole = tolerance * lasting * Math.max(stretch, Math.min(1, left / end));
    const enough = (whole * Math.min(1, h / left) * lax) / 64;
    const stays = scales.share(rest, rung, h, enough, true) * Math.max(1, left / h);
    this.roomy = here * 16 <= tolerance && stays * 64 <= whole;
    if (stays <= whole * lax) return true;
    if (n > this.until) {
      stepper.ladder.fade(rest, Math.max(1, left), k, this.faded);
      const before = scales.share(rest, rung, h, 0, true);
      this.left = Math.min(1, scales.share(this.faded, rung, h, 0, true) / before);
      this.until = n + left * stale;
    }
    this.roomy = here * 16 <= tolerance && stays * this.left * 64 <= whole;
    return stays * this.left <= whole * lax;
  }
}
