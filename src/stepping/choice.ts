// How long the next step may be. The local error of the trapezoid, h³/12·x‴, is known before the step, since x‴
// follows from the equations; it is judged twice: where it is made, against the tolerance (any sample is that
// good), and for what is left of it when the states next change course, against a thousandth of the tolerance
// (a ramp keeps its errors up to its peak, a discharge forgets them). The next change of course is the next edge
// that moves a state, or the crossing that a control is heading for.
import type { State } from "../equations/system.js";
import { higher, lower, rungBelow, ticks, top } from "./ladder.js";
import { errorShare } from "./rung.js";
import type { Stepper } from "./stepper.js";

/** Steps at most over which an error is taken to repeat. */
const repeats = 64;
/** Share of the tolerance allowed for what lasts. */
const lasting = 1 / 1000;
/** Steps at least in a period of a sine, and in one that a capacitor follows: its energy is as good as these. */
const corners = 24;
const tiedCorners = 256;
/**
 * A control that is neared so many times faster than since the last event on the average crosses so steeply that the
 * error of a step moves the instant by nothing of note: an edge, and not a ramp that decides a period.
 */
const steep = 4;
/** A state is judged against its own swing, but never finer than against this share of its kind's largest. */
const leastShare = 1 / 32;

/** Chooses rungs of the ladder for one march. */
export class StepChoice {
  /** The next tick at which an edge makes the states change course. */
  horizon = 0;
  /** Video has so many corners that finer rungs pay: a factor of two wastes a third of the steps. */
  private readonly fine: boolean;
  private wanted = top;
  private fresh = true;
  /** When the last event was, and the guards just after it. */
  private since = 0;
  private early: Float64Array = new Float64Array(0);
  /** What each state is judged against, and how far the swings had grown when that was found. */
  private readonly scale: Float64Array;
  private seen = -1;
  /** The error of a step as a share of the trapezoid's. */
  private readonly constant: number;
  private readonly estimate: Float64Array;
  private readonly rest: Float64Array;
  private readonly groups: readonly { readonly states: readonly number[]; readonly floor: number }[];

  /**
   * @param volts largest voltage of the sources
   * @param amperes their largest current
   * @param damped every step is by TR-BDF2, whose error is smaller
   */
  constructor(
    private readonly stepper: Stepper,
    private readonly tolerance: number,
    volts: number,
    amperes: number,
    damped = false,
  ) {
    this.constant = damped ? errorShare : 1;
    const { states } = stepper.system;
    this.fine = stepper.inputs.crowded;
    this.scale = new Float64Array(states.length);
    this.estimate = new Float64Array(states.length);
    this.rest = new Float64Array(states.length);
    const group = (type: State["type"], floor: number) => ({
      states: states.flatMap((s, i) => (s.type === type ? [i] : [])),
      floor,
    });
    this.groups = [group("capacitor", volts), group("inductor", amperes)];
  }

  /** After an event the last step says nothing of the next; the last time here does. The guards are known. */
  restart(): void {
    const { guards } = this.stepper.now;
    if (this.early.length !== guards.length) this.early = new Float64Array(guards.length);
    this.early.set(guards);
    this.since = this.stepper.n;
    this.fresh = true;
    this.wanted = higher(this.stepper.ladder.entry, this.fine);
  }

  /** The highest rung whose error is allowed, not longer than `left` ticks. */
  choose(left: number): number {
    const { inputs, ladder, tick } = this.stepper;
    const longest = inputs.finest() / tick / (ladder.tied ? tiedCorners : corners);
    let k = rungBelow(Math.min(left, longest), this.wanted, this.fine);
    const outlook = this.outlook();
    const { third } = this.stepper.now;
    while (k > 0 && !this.allowed(k, third, outlook)) k = lower(k, this.fine);
    if (this.fresh) this.stepper.ladder.entry = k;
    return k;
  }

  /** After an attempted step: would at least half of it still be chosen from its end? */
  holds(k: number): boolean {
    const half = lower(k, false);
    return k === 0 || this.allowed(half, this.stepper.next.third, this.horizon - this.stepper.n);
  }

  /** A step of rung k was kept: the next may be one rung longer. */
  kept(k: number): void {
    this.fresh = false;
    if (k >= this.wanted) this.wanted = higher(k, this.fine);
    else if (k < lower(this.wanted, this.fine)) this.wanted = lower(this.wanted, this.fine);
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
    let left = this.horizon - stepper.n;
    for (let g = 0; g < guards.length; g++) {
      if (guards[g]! > 0 || !guardOf[g]!.control) continue;
      const rise = rates[g]! * stepper.tick;
      if (rise > 0 && rise * gone <= steep * Math.abs(guards[g]! - this.early[g]!))
        left = Math.min(left, -guards[g]! / rise);
    }
    return left;
  }

  private allowed(k: number, third: Float64Array, left: number): boolean {
    const { estimate, rest, stepper, tolerance } = this;
    if (third.length === 0) return true;
    const h = ticks[k]!;
    stepper.ladder.rung(k).error(third, estimate);
    const here = this.share(estimate, h) * this.constant;
    if (here > tolerance) return false;
    const times = Math.min(left / h, repeats);
    if (here * times <= tolerance * lasting) return true;
    stepper.ladder.rung(rungBelow(left)).fade(estimate, rest);
    return this.share(rest, h) * this.constant * times <= tolerance * lasting;
  }

  /** The largest error as a share of its state's scale; where nothing has moved yet, of the step itself. */
  private share(error: Float64Array, h: number): number {
    const { now, tick, grown } = this.stepper;
    if (grown !== this.seen) this.measure(grown);
    const { scale } = this;
    let worst = 0;
    for (let i = 0; i < error.length; i++) {
      const size = Math.abs(error[i]!);
      const of = scale[i]! || Math.abs(now.f[i]!) * h * tick;
      if (of > 0 && size > worst * of) worst = size / of;
    }
    return worst;
  }

  /** Takes the scales of the states anew, after a swing has grown. */
  private measure(grown: number): void {
    const { swing } = this.stepper;
    for (const { states, floor } of this.groups) {
      let most = floor;
      for (const at of states) most = Math.max(most, swing[at]!);
      for (const at of states) this.scale[at] = Math.max(swing[at]!, most * leastShare);
    }
    this.seen = grown;
  }
}
