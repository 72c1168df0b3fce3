// The windows of a check that is asked of each period of something, and which of them need looking at. Where a run is known to
// repeat (recording.ts), a window equals, to the last bit, the one some periods earlier, whether or not the repetition was
// computed. So what repeats is looked at twice and then skipped: for every skipped window an earlier one, and not the very first,
// shows the same.
import { firstWhere } from "../base/search.js";
import type { MeasureSpec } from "../design/design.js";
import { traceBounds, type Window } from "../measures/window.js";
import type { Repetition } from "../reading/recording.js";
import type { Run } from "../reading/result.js";
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";

/** A border at which a counted place changes by less than its swing in this share of a period is none that a reset waits for. */
const quick = 0.1;

/** One window, s. */
interface PeriodWindow {
  /** Start of its period. */
  readonly begin: number;
  readonly from: number;
  readonly to: number;
  /** Whether it starts where another period ends. */
  readonly follows: boolean;
  /** Start of the period before, s, and what is known of the one after it where this one is whole. */
  readonly former: number;
  readonly next?: Window["next"];
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
  /** Whether periods begin as something is reset, rather than in the middle of what is measured or of its like. */
  private readonly marked: boolean;

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
    this.marked = listed !== undefined || (each !== check.target && edged(run.trace(each), this.begins));
    // The periods of a place are measured, so nothing is known of them beforehand.
    this.batches = this.count > 0 ? this.batchesBetween(listed && !every ? recording.repetitions : []) : [];
  }

  window(i: number): PeriodWindow {
    const { within, at } = this.check;
    const [begin, end] = [this.begins.at(i), this.begins.at(i + 1)];
    const follows = (within?.from ?? 0) === 0;
    return {
      begin,
      follows,
      former: i > 0 ? this.begins.at(i - 1) : Math.max(this.start, 2 * begin - end),
      next: this.marked && !within ? this.next(i) : undefined,
      from: begin + (within?.from ?? 0),
      to: within ? Math.min(begin + within.to, end) : end,
      at: at === undefined ? undefined : begin + at,
    };
  }

  /** What is known of the period after one. */
  private next(i: number): Window["next"] {
    const { begins, run } = this;
    const [begin, end] = [begins.at(i), begins.at(i + 1)];
    if (i + 2 < begins.count) return { to: begins.at(i + 2), whole: true };
    return { to: Math.max(end, Math.min(2 * end - begin, run.reached)), whole: false };
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

  /** The first instant that a window reads: what a period takes over shows in the one before it. */
  private foot(i: number): number {
    const { from, at, follows, former } = this.window(i);
    const first = follows ? former : from;
    return at === undefined ? first : Math.min(first, at);
  }

  /** The last one, including its period, and the one after it if something may be handed over to that. */
  private reach(i: number): number {
    const { to, at, next } = this.window(i);
    return Math.max(to, this.begins.at(i + 1), at ?? to, next?.to ?? to);
  }
}

/** Whether a counted place has an edge wherever a period of it begins. */
function edged(trace: Trace, begins: Instants): boolean {
  const { low, high } = traceBounds(trace, trace.from, trace.to);
  const arc = new Arc();
  for (let i = 0; i + 1 < begins.count; i++) {
    const k = trace.index(begins.at(i));
    // A jump.
    if (trace.time[k] === trace.time[k - 1]) continue;
    if (k + 1 >= trace.time.length) continue;
    const slope = arc.load(trace, k).slope((begins.at(i) - arc.start) / arc.length);
    if (!(slope * quick * (begins.at(i + 1) - begins.at(i)) > high - low)) return false;
  }
  return true;
}

function listedOf(instants: Float64Array): Instants {
  return { count: instants.length, at: (i) => instants[i] };
}
