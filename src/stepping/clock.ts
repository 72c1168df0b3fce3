// Time as a count. Every instant that a source fixes is an exact rational; their common divisor, halved until
// the run has up to 2^53 ticks, is the tick. Inside the run time is a whole number of ticks in a double, so an
// edge a million lines later is still on its tick, and an event between edges is placed as finely as a double
// allows.
import { commonDivisor, type Fraction, fromNumber, one, ratio, toNumber } from "../base/fraction.js";

const most = Number.MAX_SAFE_INTEGER + 1;
/** With fewer ticks than this, a tick is more than about 1e-13 of the run. */
const fewest = most / 1024;

/** The ticks of one run. */
export class Clock {
  /** Length of a tick, exact, in seconds. */
  readonly tick: Fraction;
  /** The same as a double. */
  readonly seconds: number;
  /** The end of the run in ticks. */
  readonly end: number;
  /** False where the instants have no common divisor coarse enough, so that edges go to the nearest tick. */
  readonly exact: boolean;
  private readonly part: number;
  private readonly n: number;
  private readonly d: number;

  /**
   * @param until end of the run, s, greater than zero
   * @param instants rationals of which every edge is a whole combination, s
   */
  constructor(until: Fraction, instants: readonly Fraction[]) {
    let edges: Fraction | undefined;
    for (const instant of instants) {
      if (instant.n !== 0n) edges = edges ? commonDivisor(edges, instant) : instant.abs();
    }
    const all = edges ? commonDivisor(edges, until) : until;
    // An end that does not fit the edges goes to the nearest tick: the edges matter more.
    const fitting = [all, edges].find((d) => d && until.div(d).floor().n <= BigInt(most));
    this.exact = fitting !== undefined;
    let divisor: Fraction;
    if (fitting) {
      divisor = fitting;
      const ticks = until.div(fitting);
      let part = 1;
      let count = toNumber(ticks);
      while (count * 2 <= most) {
        count *= 2;
        part /= 2;
      }
      this.end = Math.round(count);
      this.tick = fitting.mul(fromNumber(part));
      this.part = part;
    } else {
      divisor = until.div(ratio(BigInt(most)));
      this.end = most;
      this.tick = divisor;
      this.part = 1;
    }
    const small = divisor.n <= BigInt(most) && divisor.d <= BigInt(most);
    this.n = small ? Number(divisor.n) : toNumber(divisor);
    this.d = small ? Number(divisor.d) : 1;
    this.seconds = toNumber(this.tick);
  }

  /** This clock with another end; undefined where that is not on a tick, or leaves too few or too many ticks. */
  ending(until: Fraction): Clock | undefined {
    const ticks = until.div(this.tick);
    if (!this.exact || ticks.d !== 1n || ticks.n < BigInt(fewest) || ticks.n > BigInt(most)) return undefined;
    return Object.assign(Object.create(Clock.prototype) as Clock, this, { end: Number(ticks.n) });
  }

  /** The instant of a tick in seconds: the nearest double where its divisor is exact in doubles. */
  time(n: number): number {
    // n times a power of two is exact, and so are products for edges: only the division rounds.
    return (n * this.part * this.n) / this.d;
  }

  /** The tick nearest to an instant. */
  at(instant: Fraction): number {
    return Number(instant.div(this.tick).round(0).div(one).valueOf());
  }
}
