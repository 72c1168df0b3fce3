// Draws a trace through a leap that comes again (leapparts.ts): a million looks a second of a line, so nothing is made on the
// way, and what is in hand stands in one array.
import type { Clock } from "../stepping/clock.js";
import { type CubicJudge, mostPartings, type Seen } from "./accuracy.js";
import type { Knots } from "./knots.js";
import type { LeapPart } from "./leapparts.js";

/** A part in hand: value and slope where it begins, where it ends, and where it is parted. */
const wide = 6;

/** Adds what lies within leaps to a trace. */
export class LeapPen {
  /** The parts in hand, the first of them on top. */
  private readonly looks = new Float64Array(wide * (mostPartings + 2));
  private readonly parts: LeapPart[] = [];
  private readonly rounding = new Float64Array(2);

  constructor(
    private readonly judge: CubicJudge,
    private readonly knots: Knots,
    private readonly clock: Clock,
  ) {}

  /**
   * Adds what lies behind `start`, up to `end`.
   * @param whole the leap
   * @param z at its start
   */
  draw(whole: LeapPart, z: Float64Array, start: Seen, end: Seen): void {
    const { looks, parts, rounding, judge, knots, clock } = this;
    const begin = start.tick;
    looks[0] = start.value;
    looks[1] = start.slope;
    looks[2] = end.value;
    looks[3] = end.slope;
    parts[0] = whole;
    for (let top = 0, at = 0; top >= 0; ) {
      const part = parts[top];
      judge.chord = part.to > part.from;
      if (part.middle > 0) {
        part.look(z, looks, at + 4);
        judge.widen(looks[at + 4]);
        if (judge.strays(looks, at, part.seconds, part.share)) {
          part.round(z, rounding);
          if (judge.isSeen(rounding[0], rounding[1])) {
            parts[top] = part.behind;
            parts[++top] = part.before;
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
        }
      }
      const time = clock.time(begin + part.to);
      if (judge.chord) looks[at + 3] = knots.straight(time, looks[at + 2]);
      knots.push(time, looks[at + 2], looks[at + 3]);
      at -= wide;
      top--;
    }
  }
}
