// How long the next step may be. What a step errs by is known before it is taken (stepmatrices.ts), and is judged twice: where
// it is made, against the tolerance (any sample is that good), and for what is left of it when the states next change
// course, against a small share of it (a ramp and a ring keep their errors, a discharge forgets them). The next change
// of course is the next edge that moves a state, or the crossing that a control is heading for.

import type { Condensed } from "../equations/condense.js";
import { ErrorScales } from "./errorscales.js";
import { ticksOfGrowth } from "./growth.js";
import { higher, lower, rungBelow, ticks, top } from "./stepladder.js";
import type { Stepper } from "./stepper.js";

/** Share of the tolerance that all that lasts may come to by the end of the run: a millionth of a swing by default. */
const lasting = 1 / 32;
/** What a stretch that is one of many may add to that, at least, as a share. */
const stretch = 1 / 32;
/** A fade is taken to hold for this share of the way to the horizon. */
const stale = 1 / 8;
/** Steps at least in a period of a sine, and in one that a capacitor follows: its energy is as good as these. */
const corners = 24;
const tiedCorners = 256;
/**
 * A control that is neared so many times faster than since the last event on the average crosses so steeply that the
 * error of a step moves the instant by nothing of note: an edge, and not a ramp that decides a period.
 */
const steep = 4;
/** How often where the states are heading is looked at nearer by, where a part would change its mode on the way. */
const looks = 12;

/** Chooses step sizes, rungs of the ladder, for one march. */
export class StepChoice {
  /** The next tick at which an edge makes the states change course. */
  private horizon = 0;
  /** Video has so many corners that finer rungs pay: a factor of two wastes a third of the steps. */
  private readonly fine: boolean;
  private readonly scales: ErrorScales;
  private wanted = top;
  private fresh = true;
  /** When the last event was, and the guards just after it. */
  private since = 0;
  private early: Float64Array = new Float64Array(0);
  private readonly rest: Float64Array;
  private readonly faded: Float64Array;
  /** How much of an error of the present stretch is left at the horizon, and until when that is taken to hold. */
  private left = 1;
  private until = -1;
  /** In how many ticks what grows has left all bounds, here and by combination. */
  private growing = Number.POSITIVE_INFINITY;
  private readonly growths = new Map<Condensed, number>();
  /** Whether the last step judged has room for a longer one. */
  private roomy = true;

  /**
   * @param end the last tick of the run
   * @param damped steps are TR-BDF2
   * @param mended what they err by is taken off
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

  /** After an event the last step says nothing of the next; the last time here does. The guards are known. */
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

  /** After an attempted step: would one of about half of it still be chosen from its end? */
  holds(k: number, h: number): boolean {
    if (k === 0) return true;
    const { stepper } = this;
    const end = stepper.n + h;
    return this.allowed(k, stepper.next, end, Math.min(this.horizon - end, this.growing), 8);
  }

  /** A step of rung k was kept: the next may be longer where there is room. */
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

  /** Ticks to the next change of course, as far as can be seen from here. */
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

  /** Where the states are heading until the next corner, as far as no part changes its mode on the way there. */
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
   * @param lax how many times as much is allowed where it is made
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
