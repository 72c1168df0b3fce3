// The plans of one combination of modes, made with as few samples as cubics need.

import {
  type CubicJudge,
  furtherOf,
  furtherShares,
  nothingSeen,
  partingShare,
  type Seen,
} from "./accuracy.js";
import { type LeapForm, lookOver } from "./leapforms.js";
import { LeapPlan, type LeapSteps, type PlannedForm } from "./leapplan.js";
import type { TickSpan } from "./surveying.js";

/** The most plans of one combination, and the most samples that they hold. */
const mostPlans = 64;
const mostSamples = 8192;
/** The most samples of one plan. */
const mostSteps = 1024;
/** The shortest cubic, in ticks. */
const shortest = 16;
/**
 * How far a cubic of a plan may be off, and how much more where z differs: shares of the error that a judge allows. Together they
 * stay within half a millionth of the swing, a millionth of the amplitude of what swings both ways.
 */
const planShare = 0.85;
const spareShare = 0.3;
/** Where the first cubic is looked at, and where the others are. */
const [firstShares, laterShares] = [true, false].map((begins) => [
  partingShare,
  ...furtherOf(furtherShares, true, begins),
]);
/** How much longer than its plan a leap may be. */
const longer = 1.25;

/** What is read, and how it was drawn before. */
interface DrawnForm extends PlannedForm {
  plansFor(within: number): LeapPlans;
  readonly single: LeapForm | undefined;
}

/** A stretch in which a single form over z is read throughout: its course depends on z at the start alone. */
export class LeapOpening {
  from = 0;
  to = 0;
  set!: DrawnForm;
  /** z at its start. */
  start!: Float64Array;

  /** @param seconds length of a tick; @param carry z `ticks` after the start, whatever looks came before */
  constructor(
    readonly seconds: number,
    private readonly carry: (ticks: number) => Float64Array,
  ) {}

  begin(set: DrawnForm, { from, to }: TickSpan, start: Float64Array): this {
    this.from = from;
    this.to = to;
    this.set = set;
    this.start = start;
    return this;
  }

  /** Reads the form at a tick, from the z there. */
  carried(tick: number, into: Seen): void {
    lookOver(this.set.single!, this.carry(tick - this.from), into);
    into.tick = tick;
  }
}

/** Plans, oldest first: the oldest makes room for a new one. */
export class LeapPlans {
  private readonly plans: LeapPlan[] = [];
  private last: LeapPlan | undefined = undefined;
  private met = 0;
  private made = 0;
  private followed = 0;
  private samples = 0;
  private refused = false;

  /** A plan that fits a leap of `ticks` from z. */
  find(z: Float64Array, ticks: number, { allowed }: CubicJudge): LeapPlan | undefined {
    const { last, plans } = this;
    this.met++;
    const does = (plan: LeapPlan) =>
      plan.allowed >= 0.5 * allowed &&
      longer * plan.ticks[plan.ticks.length - 1] >= ticks &&
      plan.fits(z, planShare * allowed, spareShare * allowed);
    let found = last?.next;
    if (!found || !does(found)) found = plans.find(does);
    if (found) {
      this.followed++;
      this.follow(found);
    }
    return found;
  }

  /** Makes a plan of a leap; undefined where it would not pay, or rounding would show. */
  make(opening: LeapOpening, start: Seen, end: Seen, judge: CubicJudge): LeapPlan | undefined {
    // What came once may never recur, and where z always differs no plan is used.
    if (this.refused || this.met < 2 || this.made > 4 + this.followed) return undefined;
    const { set, start: z, seconds } = opening;
    this.made++;
    const steps = stepsOf(opening, start, end, judge);
    const plan = steps && new LeapPlan(steps, z, set, seconds);
    if (!plan || !(plan.blur(z, seconds) < judge.allowed / 8)) {
      this.refused = plan !== undefined;
      return undefined;
    }
    this.samples += plan.ticks.length;
    while (this.plans.length >= mostPlans || (this.samples > mostSamples && this.plans.length > 0))
      this.samples -= this.plans.shift()!.ticks.length;
    this.plans.push(plan);
    this.follow(plan);
    return plan;
  }

  private follow(plan: LeapPlan): void {
    if (this.last) this.last.next = plan;
    this.last = plan;
  }
}

/** The fewest samples that will do; undefined where too many are needed. */
function stepsOf(opening: LeapOpening, start: Seen, end: Seen, judge: CubicJudge): LeapSteps | undefined {
  const whole = end.tick - start.tick;
  const allowed = planShare * judge.allowed;
  const ticks: number[] = [];
  const between: number[][] = [];
  const here = { ...start };
  let worst = 0;
  for (let at = 0, next = whole; at < whole; ) {
    const shares = at === 0 ? firstShares : laterShares;
    let kept: { length: number; off: number; seen: Seen } | undefined;
    for (let length = next, tries = 0; tries < 24; tries++) {
      const seen = at + length === whole ? end : look(opening, start.tick + at + length);
      const off = largest(opening, here, seen, shares, judge);
      const by = Math.sqrt(Math.sqrt((0.9 * allowed) / off));
      if (off <= allowed) {
        kept = { length, off, seen };
        if (at + length === whole || by < 1.06 || tries >= 3) break;
        length = Math.min(whole - at, rounded(length * Math.min(by, 2)));
      } else if (kept || length < shortest) break;
      else length = rounded(length * Math.max(0.1, Math.min(by, 0.8)));
    }
    if (!kept || ticks.length === mostSteps) return undefined;
    const { length, off, seen } = kept;
    between.push(shares.map((share) => at + Math.floor(share * length)));
    at += length;
    ticks.push(at);
    worst = Math.max(worst, off);
    Object.assign(here, seen);
    const by = Math.sqrt(Math.sqrt((0.9 * allowed) / off));
    next = Math.max(shortest, rounded(length * Math.min(2, Math.max(0.5, by))));
    if (1.3 * next > whole - at) next = whole - at;
  }
  return { ticks, between, worst, allowed };
}

/** A length of at most six significant binary digits, so that rounding of what was seen moves no sample. */
function rounded(length: number): number {
  let unit = 1;
  while (64 * unit <= length) unit *= 2;
  return Math.floor(length / unit) * unit;
}

function look(opening: LeapOpening, tick: number): Seen {
  const seen = nothingSeen();
  opening.carried(tick, seen);
  return seen;
}

/** The largest error of the cubic between two looks. */
function largest(
  opening: LeapOpening,
  a: Seen,
  b: Seen,
  shares: readonly number[],
  judge: CubicJudge,
): number {
  const middle = nothingSeen();
  let off = 0;
  for (const share of shares) {
    opening.carried(a.tick + Math.floor(share * (b.tick - a.tick)), middle);
    off = Math.max(off, judge.off(a, middle, b));
  }
  return off;
}
