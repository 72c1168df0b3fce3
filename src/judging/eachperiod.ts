// The windows of a check that is asked of each period of something, and which of them need looking at. Where a run is known to
// repeat (recording.ts), a window equals, to the last bit, the one some periods earlier, whether or not the repetition was
// computed. So what repeats is looked at twice and then skipped: for every skipped window an earlier one, and not the very first,
// shows the same.
import { firstWhere } from "../base/search.js";
import type { MeasureSpec } from "../design/design.js";
import type { Repetition } from "../reading/recording.js";
import type { Run } from "../reading/result.js";

/** How much of what stands before a period is drawn with it, as a share of the period. */
const lead = 1e-3;

/** One window, s. */
interface PeriodWindow {
  /** Start of its period. */
  readonly begin: number;
  readonly from: number;
  readonly to: number;
  /** Whether it starts where another period ends. */
  readonly follows: boolean;
  /** The instant asked for. */
  readonly at?: number;
}

/** A row of windows that are looked at, by index, and all the time they cover, s. */
interface WindowBatch {
  readonly first: number;
  readonly end: number;
  readonly from: number;
  readonly to: number;
  /** Set where the windows after it are skipped: each equals the one so many before it. */
  readonly turn?: number;
}

/** Instants by number. */
interface Instants {
  readonly count: number;
  at(i: number): number;
}

/** The windows of a check. */
export class PeriodWindows {
  /** How many there are. */
  readonly count: number;
  /** Those that are looked at. */
  readonly batches: readonly WindowBatch[];
  private readonly begins: Instants;
  /** Where the recording starts, s. */
  private readonly start: number;
  private readonly first: number;
  private readonly last: number;

  /**
   * @param each the signal or place whose periods they are
   * @param every true where the run's repetition does not hold for what is looked at: then nothing is skipped
   */
  constructor(
    private readonly run: Run,
    private readonly check: MeasureSpec,
    each: string,
    every = false,
  ) {
    const { recording, assembly, until } = run;
    const { clock } = assembly;
    const listed = run.marks(each);
    this.begins = listed ?? listedOf(run.periods(each));
    this.start = clock.time(recording.span().from);
    const { after = this.start, before = until } = check;
    this.first = firstWhere(0, this.begins.count, (i) => this.begins.at(i) >= after);
    this.last = firstWhere(this.first, this.begins.count, (i) => this.begins.at(i) > before) - 1;
    this.count = Math.max(0, this.last - this.first);
    // The periods of a place are measured, so nothing is known of them beforehand.
    this.batches = this.count > 0 ? this.batchesBetween(listed && !every ? recording.repetitions : []) : [];
  }

  /** A window. */
  window(i: number): PeriodWindow {
    const { within, at } = this.check;
    const [begin, end] = [this.begins.at(i), this.begins.at(i + 1)];
    const follows = (within?.from ?? 0) === 0;
    return {
      begin,
      follows,
      from: begin + (within?.from ?? 0),
      to: within ? Math.min(begin + within.to, end) : end,
      at: at === undefined ? undefined : begin + at,
    };
  }

  private batchesBetween(rounds: readonly Repetition[]): WindowBatch[] {
    const batches: WindowBatch[] = [];
    let first = this.first;
    for (const round of rounds) {
      const left = this.leftOut(round, first);
      if (!left) continue;
      batches.push({ ...this.batch(first, left.from), turn: left.turn });
      first = left.to;
    }
    if (first < this.last) batches.push(this.batch(first, this.last));
    return batches;
  }

  private batch(first: number, end: number): WindowBatch {
    return { first, end, from: this.foot(first), to: this.reach(end - 1) };
  }

  /** The windows that need no look where a run repeats. */
  private leftOut(
    { from, until, ticks }: Repetition,
    first: number,
  ): { from: number; to: number; turn: number } | undefined {
    const { clock } = this.run.assembly;
    const { last } = this;
    // Instants in seconds are rounded; a few ticks either way cost nothing.
    const play = 16 * (clock.seconds + Number.EPSILON * clock.time(until));
    const start = clock.time(from + 2 * ticks) + play;
    const end = clock.time(until) - play;
    const inside = firstWhere(first, last, (i) => this.foot(i) >= start);
    const to = firstWhere(inside, last, (i) => this.reach(i) > end);
    if (to - inside < 2) return undefined;
    const middle = (this.begins.at(inside) + this.begins.at(inside + 1)) / 2;
    const later = middle + clock.time(ticks);
    const turn = firstWhere(inside, this.begins.count, (i) => this.begins.at(i) >= later) - inside - 1;
    const left = Math.max(inside, first + 2 * turn);
    return turn > 0 && to - left > 0 ? { from: left, to, turn } : undefined;
  }

  /** The first instant that a window reads. Whether it starts with a corner shows just before. */
  private foot(i: number): number {
    const { begin, from, to, at, follows } = this.window(i);
    const first = follows ? Math.max(this.start, begin - lead * (to - begin)) : from;
    return at === undefined ? first : Math.min(first, at);
  }

  /** The last one, including its period. */
  private reach(i: number): number {
    const { to, at } = this.window(i);
    return Math.max(to, this.begins.at(i + 1), at ?? to);
  }
}

function listedOf(instants: Float64Array): Instants {
  return { count: instants.length, at: (i) => instants[i] };
}
