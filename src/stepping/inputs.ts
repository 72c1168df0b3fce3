// The sources of a run, in ticks: levels u (the first entry is always 1, for everything constant), slopes u' and bends
// u''. At a corner each is given as it arrives from the left (side 0) or leaves to the right (1).
import type { Player } from "../signals/player.js";
import type { Schedule } from "../signals/schedule.js";

/** A part whose mode follows a schedule. */
interface Commanded {
  readonly part: number;
  readonly schedule: Schedule;
}

/** All sources and schedules of a run. */
export class Inputs {
  readonly size: number;
  /** Whether a source has corners by the thousand: video, or noise. */
  readonly crowded: boolean;

  constructor(
    readonly players: readonly Player[],
    readonly commanded: readonly Commanded[],
  ) {
    this.size = players.length + 1;
    this.crowded = players.some((player) => player.crowded);
  }

  /** The shortest period (s) of a sine or carrier on the stretches that begin at tick n; Infinity without one. */
  finest(n: number): number {
    let finest = Number.POSITIVE_INFINITY;
    for (const player of this.players) finest = Math.min(finest, player.period(n, 1) ?? finest);
    return finest;
  }

  /** The first corner of any source after tick n, or `end`. */
  next(n: number, end: number): number {
    let first = end;
    for (const player of this.players) first = Math.min(first, player.next(n));
    return first;
  }

  /**
   * The first tick after n at which a switch is commanded or a listed source changes course, or `end`. Corners of a
   * picture or of noise do not count: they follow each other closely, and what is left of an error keeps fading.
   */
  horizon(n: number, sources: readonly number[], end: number): number {
    let first = end;
    for (const s of sources) {
      const player = this.players[s - 1];
      if (!player.crowded) first = Math.min(first, player.next(n));
    }
    for (const { schedule } of this.commanded) first = Math.min(first, schedule.next(n));
    return first;
  }

  /** Whether a stretch from corner to corner is one that a listed source or a command runs through repeatedly. */
  recurs(from: number, to: number, voices: readonly { readonly source: number }[]): boolean {
    for (let i = 0; i < voices.length; i++)
      if (this.players[voices[i].source - 1].spans(from, to)) return true;
    for (let i = 0; i < this.commanded.length; i++)
      if (this.commanded[i].schedule.spans(from, to)) return true;
    return false;
  }

  /**
   * Ticks after which all sources and commands are the same again to the last bit, as long as none changes for good;
   * undefined where nothing repeats, or not within the most ticks given.
   */
  period(most: number): number | undefined {
    let common = 1;
    const all = [...this.players.flatMap((p) => p.again), ...this.commanded.map((c) => c.schedule.again)];
    for (const one of all) {
      if (!(one <= most)) return undefined;
      common *= one / commonDivisor(common, one);
      if (!(common <= most)) return undefined;
    }
    return common > 1 ? common : undefined;
  }

  /** The first tick after n at which a source or a command changes for good: starts, stops, or has a corner that never recurs. */
  change(n: number): number {
    let first = Number.POSITIVE_INFINITY;
    for (const player of this.players) first = Math.min(first, player.change(n));
    for (const { schedule } of this.commanded) first = Math.min(first, schedule.change(n));
    return first;
  }

  /** Ticks strictly between two others at which listed sources (from 1) have corners, merged with known ones, ascending. */
  cornersBetween(
    sources: readonly number[],
    from: number,
    to: number,
    known: readonly number[],
  ): readonly number[] {
    const inside = known.length === 0 ? known : known.filter((n) => n > from && n < to);
    if (sources.length === 0) return inside;
    const found = new Set(inside);
    for (const s of sources) {
      const player = this.players[s - 1];
      for (let n = player.next(from); n < to; n = player.next(n)) found.add(n);
    }
    return [...found].sort((a, b) => a - b);
  }

  /** Whether sources only turn, and nothing recurs that ends a leap. */
  get smooth(): boolean {
    const { players, commanded } = this;
    return players.every(({ recurs }) => !recurs) && commanded.every(({ schedule }) => schedule.again === 1);
  }

  /** Whether some source jumps at tick n. */
  jump(n: number): boolean {
    return this.players.some((player) => player.jumpAt(n));
  }

  /** Level and slope of one source (from 1) at tick n, arriving there. */
  arriving(s: number, n: number, into: { u: Float64Array; du: Float64Array }): void {
    const player = this.players[s - 1];
    into.u[s] = player.value(n, 0);
    into.du[s] = player.slope(n, 0);
  }

  /** Levels at tick n, and slopes a second. */
  place(n: number, side: 0 | 1, { u, du }: { u: Float64Array; du: Float64Array }): void {
    u[0] = 1;
    du[0] = 0;
    for (let i = 0; i < this.players.length; i++) {
      u[i + 1] = this.players[i].value(n, side);
      du[i + 1] = this.players[i].slope(n, side);
    }
  }

  /** Amplitude at tick n of each source that is a single sine. */
  crests(n: number, side: 0 | 1, crest: Float64Array): void {
    for (let i = 0; i < this.players.length; i++) crest[i + 1] = this.players[i].crest(n, side);
  }

  /** Second derivatives at tick n. */
  bends(n: number, side: 0 | 1, ddu: Float64Array): void {
    ddu[0] = 0;
    for (let i = 0; i < this.players.length; i++) ddu[i + 1] = this.players[i].bend(n, side);
  }
}

/** Greatest common divisor of two whole numbers above zero, by Euclid's algorithm. */
function commonDivisor(a: number, b: number): number {
  let [divisor, rest] = [a, b];
  while (rest > 0) [divisor, rest] = [rest, divisor % rest];
  return divisor;
}
