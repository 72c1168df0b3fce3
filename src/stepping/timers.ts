// Modes that end by themselves: the length of a one-shot's pulse, the delay of a comparator. A time starts when its mode
// is entered and runs out at a tick like any edge.
import type { Fraction } from "../base/fraction.js";
import type { System } from "../equations/system.js";
import type { Dwell } from "../parts/contract.js";
import type { Clock } from "./clock.js";

const none: readonly number[] = [];

/** The times that are running. */
export class Timers {
  /** Parts that have such modes, and for each the tick at which its time runs out: Infinity where none is running. */
  private readonly timed: readonly number[];
  private readonly due: Float64Array;
  /** Times in ticks, cached. */
  private readonly lengths = new Map<Fraction, number>();
  /** By part and mode, when the mode ends by itself and what follows; null where it does not. */
  private readonly dwells: (Dwell | null | undefined)[][];

  constructor(
    private readonly system: System,
    private readonly clock: Clock,
  ) {
    const timed: number[] = [];
    for (let p = 0; p < system.members.length; p++) {
      const { device, fault } = system.members[p];
      if (device.dwell && !fault) timed.push(p);
    }
    this.timed = timed;
    this.due = new Float64Array(this.timed.length).fill(Number.POSITIVE_INFINITY);
    this.dwells = this.timed.map(() => []);
  }

  /** The first tick at which a time runs out, or Infinity. */
  next(): number {
    const { due } = this;
    let first = Number.POSITIVE_INFINITY;
    for (let k = 0; k < due.length; k++) if (due[k] < first) first = due[k];
    return first;
  }

  /** Puts parts whose time runs out at tick n into the mode that follows; gives these parts. */
  expire(modes: Uint8Array, n: number): readonly number[] {
    const { due, timed } = this;
    let ended: number[] | undefined;
    for (let k = 0; k < due.length; k++) {
      if (due[k] > n) continue;
      due[k] = Number.POSITIVE_INFINITY;
      const part = timed[k];
      modes[part] = this.dwell(k, modes[part])!.to;
      if (ended) ended.push(part);
      else ended = [part];
    }
    return ended ?? none;
  }

  /** Starts and clears times after modes have changed at tick n. */
  entered(before: Uint8Array, after: Uint8Array, n: number): void {
    const { due, timed } = this;
    for (let k = 0; k < due.length; k++) {
      const mode = after[timed[k]];
      if (before[timed[k]] !== mode) this.enter(k, mode, n);
    }
  }

  /** Timed part k enters a mode at tick n. */
  private enter(k: number, mode: number, n: number): void {
    const { due } = this;
    const dwell = this.dwell(k, mode);
    if (!dwell) due[k] = Number.POSITIVE_INFINITY;
    else if (!dwell.keeps || due[k] === Number.POSITIVE_INFINITY) due[k] = n + this.ticks(dwell.lasts);
  }

  /** How the mode of timed part k ends by itself; null where it does not. */
  private dwell(k: number, mode: number): Dwell | null {
    const known = this.dwells[k][mode];
    if (known !== undefined) return known;
    const made = this.system.members[this.timed[k]].device.dwell!(mode) ?? null;
    this.dwells[k][mode] = made;
    return made;
  }

  private ticks(lasts: Fraction): number {
    let ticks = this.lengths.get(lasts);
    if (ticks === undefined) {
      ticks = this.clock.at(lasts);
      this.lengths.set(lasts, ticks);
    }
    return ticks;
  }

  /** Starts the times of the modes that the run starts in. */
  begin(modes: Uint8Array): void {
    for (const [k, part] of this.timed.entries()) this.enter(k, modes[part], 0);
  }

  /** Parts in modes that end by themselves. */
  waiting(modes: Uint8Array): number[] {
    return this.timed.filter((part, k) => this.dwell(k, modes[part]) !== null);
  }

  /** Ends the modes of those parts that wait, as if their time had run out. */
  lapse(modes: Uint8Array, parts: readonly number[]): void {
    for (const [k, part] of this.timed.entries())
      if (parts.includes(part)) modes[part] = this.dwell(k, modes[part])?.to ?? modes[part];
  }

  /** Writes the times running at tick n, as ticks to go, by part in the order of the text; gives the index after them. */
  write(n: number, out: Float64Array, from: number): number {
    const { due } = this;
    for (let k = 0; k < due.length; k++)
      out[from + k] = due[k] === Number.POSITIVE_INFINITY ? -1 : due[k] - n;
    return from + due.length;
  }

  /** How many values `write` writes. */
  get size(): number {
    return this.timed.length;
  }

  /** Delays everything that is running by so many ticks. */
  shift(ticks: number): void {
    for (let k = 0; k < this.due.length; k++) this.due[k] += ticks;
  }

  /** Times still running after tick n, in seconds, by part. */
  running(n: number): Map<number, number> {
    const { due, timed } = this;
    const running = timed.flatMap((part, k): [number, number][] =>
      Number.isFinite(due[k]) ? [[part, (due[k] - n) * this.clock.seconds]] : [],
    );
    return new Map(running);
  }

  /** Sets times as they were running in another march. */
  resume(times: ReadonlyMap<number, number>): void {
    for (const [k, part] of this.timed.entries()) {
      const seconds = times.get(part);
      if (seconds !== undefined) this.due[k] = Math.max(1, Math.round(seconds / this.clock.seconds));
    }
  }
}
