// Several sights of one view side by side: each stretch is parted until cubics fit all of them, and the pieces are passed on as
// they come. Nothing is kept, so a peak or a mean needs no trace.
import type { Clock } from "../stepping/clock.js";
import { Arc } from "../waveforms/arc.js";
import {
  anyOff,
  CubicJudge,
  doubtful,
  furtherOf,
  furtherShares,
  mostPartings,
  partingShare,
  type Seen,
} from "./accuracy.js";
import { blocksOf } from "./blocks.js";
import type { LeapPart, PartLook } from "./leapparts.js";
import { sightOf, sightRounding } from "./sights.js";
import type { RecurringLeap, StretchView } from "./view.js";

/** Receives a piece of a curve: the index of its sight, and its cubic in an object that is reused. */
export type TakeArc = (sight: number, arc: Arc) => void;

/** Parts stretches. */
export class Parting {
  private readonly judges: readonly CubicJudge[];
  /**
   * Looks in hand, a value and a slope per sight: start and end of the piece, ends of two of its blocks, then where it is parted,
   * by depth.
   */
  private readonly looks: Float64Array;
  private readonly wide: number;
  /** Value and slope of every form, and their rounding. */
  private seen = new Float64Array(0);
  private rounding = new Float64Array(0);
  private readonly three = new Float64Array(6);
  private readonly single: Seen = { tick: 0, value: 0, slope: 0 };
  private readonly arc = new Arc();
  private inside!: StretchView;
  private leap: RecurringLeap | undefined = undefined;
  /** The start of the piece in hand. */
  private onset = 0;
  /** Of the piece in hand: where it is looked at, its length (s), and the share of it before that. */
  private middle = 0;
  private seconds = 0;
  private share = 0;
  /** Which look into a part of a leap was taken last. */
  private lookedAt: PartLook = 0;

  /** @param count number of sights; @param within how far a cubic may be off, as a share of the swing of its sight */
  constructor(
    private readonly count: number,
    within: number,
    private readonly clock: Clock,
    private readonly take: TakeArc,
  ) {
    this.judges = Array.from({ length: count }, () => new CubicJudge(within, clock.seconds));
    this.wide = 2 * count;
    this.looks = new Float64Array(this.wide * (mostPartings + 6));
  }

  /** Includes what is seen at a tick in the swing. */
  widen(inside: StretchView, tick: number, side: 0 | 1): void {
    this.inside = inside;
    this.look(tick, side, 0);
  }

  /** Passes on a piece of a stretch on which nothing has a corner. */
  piece(inside: StretchView, from: number, to: number): void {
    const { wide } = this;
    this.inside = inside;
    this.onset = from;
    inside.piece(from, to);
    this.look(from, 1, 0);
    this.look(to, 0, wide);
    const { recurring } = inside;
    if (recurring?.from === from && recurring.to === to) this.through(recurring, 0, wide);
    else if (this.parted(0, wide, from, to, 0)) this.along(from, to);
    else this.hand(0, wide, from, to);
  }

  /** A piece that does not recur: in blocks that do, and then the rest. */
  private along(from: number, to: number): void {
    const { wide } = this;
    let [a, b, at] = [0, 2 * wide, from];
    for (const block of blocksOf(this.inside, from, to, this.inside.turn)) {
      if (block.to === to) b = wide;
      else this.look(block.to, 1, b);
      this.through(block, a, b);
      at = block.to;
      [a, b] = [b, b === 2 * wide ? 3 * wide : 2 * wide];
    }
    if (at < to) this.refine(a, wide, at, to, 0);
  }

  private through(leap: RecurringLeap, a: number, b: number): void {
    this.leap = leap;
    if (this.seen.length < 2 * leap.forms) {
      this.seen = new Float64Array(2 * leap.forms);
      this.rounding = new Float64Array(2 * leap.forms);
    }
    this.refineLeap(a, b, leap.from, 0, leap.whole);
  }

  private refine(a: number, b: number, from: number, to: number, depth: number): void {
    if (!this.parted(a, b, from, to, depth)) {
      this.hand(a, b, from, to);
      return;
    }
    const m = (depth + 4) * this.wide;
    const middle = this.middle;
    this.refine(a, m, from, middle, depth + 1);
    this.refine(m, b, middle, to, depth + 1);
  }

  /** Whether a cubic does not fit; what is seen in the middle is then stored by depth. */
  private parted(a: number, b: number, from: number, to: number, depth: number): boolean {
    const step = Math.floor(partingShare * (to - from));
    // A piece too short to be looked into is straight.
    for (const judge of this.judges) judge.chord = true;
    if (step === 0 || depth >= mostPartings) return false;
    const m = (depth + 4) * this.wide;
    this.middle = from + step;
    this.look(this.middle, 1, m);
    this.seconds = (to - from) * this.clock.seconds;
    this.share = step / (to - from);
    if (this.misses(a, m, b, depth)) return true;
    const shares = furtherOf(furtherShares, this.wavers(a, b), from === this.onset);
    const [{ middle }, again] = [this, m + this.wide];
    const missed = anyOff(this.judges, shares, (share) => {
      const further = Math.floor(share * (to - from));
      if (further === 0) return false;
      this.middle = from + further;
      this.share = further / (to - from);
      this.look(this.middle, 1, again);
      return this.misses(a, again, b, depth);
    });
    this.middle = middle;
    return missed;
  }

  /** Whether any of the cubics between two looks may fit by chance. */
  private wavers(a: number, b: number): boolean {
    const { judges, three, seconds } = this;
    for (let s = 0; s < judges.length; s++) {
      this.between(a, b, s);
      if (judges[s].wavers(three, 0, seconds)) return true;
    }
    return false;
  }

  /** Copies what a sight shows at both ends to where a judge reads it. */
  private between(a: number, b: number, sight: number): void {
    const { looks, three } = this;
    const i = 2 * sight;
    three[0] = looks[a + i];
    three[1] = looks[a + i + 1];
    three[2] = looks[b + i];
    three[3] = looks[b + i + 1];
  }

  /** The same for a part of a recurring leap. @param begin tick at which the leap begins */
  private refineLeap(a: number, b: number, begin: number, depth: number, part: LeapPart): void {
    for (const judge of this.judges) judge.chord = true;
    if (part.middle > 0) {
      const m = (depth + 4) * this.wide;
      if (this.partedLeap(a, b, m, depth, part)) {
        this.refineLeap(a, m, begin, depth + 1, part.earlier);
        this.refineLeap(m, b, begin, depth + 1, part.later);
        return;
      }
    }
    this.hand(a, b, begin + part.from, begin + part.to);
  }

  /** Whether a cubic does not fit such a part; what is seen in its middle is then stored at m. */
  private partedLeap(a: number, b: number, m: number, depth: number, part: LeapPart): boolean {
    this.lookInto(part, m);
    this.seconds = part.seconds;
    this.share = part.share;
    if (this.misses(a, m, b, depth, part)) return true;
    return anyOff(this.judges, part.further(this.wavers(a, b), this.leap!.start, 0), (look) => {
      this.lookInto(part, m + this.wide, look);
      this.share = part.before(look);
      return this.misses(a, m + this.wide, b, depth, part);
    });
  }

  private hand(a: number, b: number, from: number, to: number): void {
    const { looks, arc, clock, count } = this;
    const start = clock.time(from);
    const length = clock.time(to) - start;
    if (!(length > 0)) return;
    arc.start = start;
    arc.length = length;
    for (let s = 0, p = a, q = b; s < count; s++, p += 2, q += 2) {
      const rise = (looks[q] - looks[p]) / length;
      const straight = this.judges[s].chord;
      this.take(
        s,
        arc.through(looks[p], straight ? rise : looks[p + 1], looks[q], straight ? rise : looks[q + 1]),
      );
    }
  }

  /** Whether anything seen at the middle is off its cubic. */
  private misses(a: number, m: number, b: number, depth: number, part?: LeapPart): boolean {
    const { looks, judges, three, seconds, share, middle } = this;
    let rounded = false;
    for (let s = 0; s < judges.length; s++) {
      this.between(a, b, s);
      three[4] = looks[m + 2 * s];
      three[5] = looks[m + 2 * s + 1];
      if (!judges[s].strays(three, 0, seconds, share)) continue;
      if (!part) {
        const { value, slope } = this.inside.roundoff(middle, depth >= doubtful, s);
        if (judges[s].isSeen(value, slope)) return true;
        continue;
      }
      if (!rounded) part.round(this.leap!.start, this.rounding, this.lookedAt);
      rounded = true;
      const { value, slope } = sightRounding(this.leap!.sights[s], this.seen, this.rounding);
      if (judges[s].isSeen(value, slope)) return true;
    }
    return false;
  }

  private lookInto(part: LeapPart, at: number, look: PartLook = 0): void {
    const { looks, seen, judges } = this;
    const { start, sights } = this.leap!;
    part.look(start, seen, 0, look);
    this.lookedAt = look;
    for (let s = 0; s < sights.length; s++) {
      sightOf(sights[s], seen, looks, at + 2 * s);
      judges[s].widen(looks[at + 2 * s]);
    }
  }

  private look(tick: number, side: 0 | 1, at: number): void {
    const { looks, judges, single, inside } = this;
    for (let s = 0; s < judges.length; s++) {
      inside.look(tick, side, single, s);
      looks[at + 2 * s] = single.value;
      looks[at + 2 * s + 1] = single.slope;
      judges[s].widen(single.value);
    }
  }
}
