// Draws a trace through a recurring leap (leapparts.ts): at a million looks per second of a line nothing is allocated on the way,
// and the parts in hand stand in one array.
import type { Clock } from "../stepping/clock.js";
import { anyOff, type CubicJudge, mostPartings, type Seen } from "./accuracy.js";
import type { Sight } from "./forms.js";
import type { Knots } from "./knots.js";
import type { LeapPart, PartLook } from "./leapparts.js";
import type { LeapOpening } from "./leapplans.js";
import { sightOf, sightRounding } from "./sights.js";
import type { RecurringLeap } from "./view.js";

/** Numbers of a part in hand: value and slope at its start, at its end, and where it is parted. */
const wide = 6;

/** Adds the samples within leaps to a trace. */
export class LeapPen {
  /** The parts in hand, the earliest on top. */
  private readonly looks = new Float64Array(wide * (mostPartings + 2));
  private readonly parts: LeapPart[] = [];
  /** What is read, unless it is one form; then value and slope of every form, and their rounding. */
  private sight: Sight | undefined = undefined;
  private seen = new Float64Array(2);
  private rounding = new Float64Array(2);
  private readonly again = new Float64Array(wide);
  /** How often what holds the leap in hand has been parted. */
  private outer = 0;

  constructor(
    private readonly judge: CubicJudge,
    private readonly knots: Knots,
    private readonly clock: Clock,
  ) {}

  /**
   * Adds the samples after the start of a stretch from a plan, if there is one.
   * @param reached the start; on return the last sample added, or still the start
   * @returns whether the end is reached
   */
  follow(opening: LeapOpening, reached: Seen, end: Seen): boolean {
    const { judge, knots, clock } = this;
    const { set, start: z } = opening;
    const begin = reached.tick;
    const whole = end.tick - begin;
    const plans = set.plansFor(judge.within);
    const plan = plans.find(z, whole, judge) ?? plans.make(opening, reached, end, judge);
    if (!plan) return false;
    const { ticks } = plan;
    const count = plan.within(whole);
    const seen = plan.seen(count, z);
    for (let k = 0, w = 0; k < count; k++, w += 2) {
      judge.widen(seen[w]);
      knots.push(clock.time(begin + ticks[k]), seen[w], seen[w + 1]);
    }
    if (ticks[count] === whole) {
      knots.push(clock.time(end.tick), end.value, end.slope);
      return true;
    }
    if (count > 0) {
      reached.tick = begin + ticks[count - 1];
      reached.value = seen[2 * count - 2];
      reached.slope = seen[2 * count - 1];
    }
    return false;
  }

  /**
   * Adds the samples after `start`, up to `end`, of a leap with one sight.
   * @param outer how often a piece has been parted to come to it
   */
  draw({ whole, start: z, plain, sights, forms }: RecurringLeap, start: Seen, end: Seen, outer = 0): void {
    const { looks, parts, judge, knots, clock } = this;
    this.outer = outer;
    this.sight = plain ? undefined : sights[0];
    if (this.seen.length < 2 * forms) {
      this.seen = new Float64Array(2 * forms);
      this.rounding = new Float64Array(2 * forms);
    }
    const begin = start.tick;
    looks[0] = start.value;
    looks[1] = start.slope;
    looks[2] = end.value;
    looks[3] = end.slope;
    parts[0] = whole;
    for (let top = 0, at = 0; top >= 0; ) {
      const part = parts[top];
      judge.chord = part.to > part.from;
      if (part.middle > 0 && this.parted(part, z, at)) {
        parts[top] = part.later;
        parts[++top] = part.earlier;
        const next = at + wide;
        looks[next] = looks[at];
        looks[next + 1] = looks[at + 1];
        looks[next + 2] = looks[at + 4];
        looks[next + 3] = looks[at + 5];
        looks[at] = looks[at + 4];
        looks[at + 1] = looks[at + 5];
        at = next;
        continue;
      }
      const time = clock.time(begin + part.to);
      if (judge.chord) looks[at + 3] = knots.straight(time, looks[at + 2]);
      knots.push(time, looks[at + 2], looks[at + 3]);
      at -= wide;
      top--;
    }
  }

  /** Whether the cubic of a part does not fit; what is seen at its middle is then stored after its ends. */
  private parted(part: LeapPart, z: Float64Array, at: number): boolean {
    const { looks, judge, again } = this;
    this.look(part, z, looks, at + 4, 0);
    judge.widen(looks[at + 4]);
    if (judge.strays(looks, at, part.seconds, part.share) && this.isSeen(part, z, 0)) return true;
    const doubted = judge.wavers(looks, at, part.seconds);
    const further = part.further(doubted, z, this.sight ? 0 : judge.allowed);
    if (further.length === 0) return false;
    for (let k = 0; k < 4; k++) again[k] = looks[at + k];
    return anyOff([judge], further, (look) => {
      this.look(part, z, again, 4, look);
      judge.widen(again[4]);
      return judge.strays(again, 0, part.seconds, part.before(look)) && this.isSeen(part, z, look);
    });
  }

  private look(part: LeapPart, z: Float64Array, into: Float64Array, at: number, look: PartLook): void {
    const { sight, seen } = this;
    if (!sight) {
      part.look(z, into, at, look);
      return;
    }
    part.look(z, seen, 0, look);
    sightOf(sight, seen, into, at);
  }

  /** Whether the look that strayed last is off by more than its rounding. */
  private isSeen(part: LeapPart, z: Float64Array, look: PartLook): boolean {
    const { sight, seen, rounding, judge } = this;
    part.round(z, rounding, look, this.outer);
    if (!sight) return judge.isSeen(rounding[0], rounding[1]);
    const { value, slope } = sightRounding(sight, seen, rounding);
    return judge.isSeen(value, slope);
  }
}
