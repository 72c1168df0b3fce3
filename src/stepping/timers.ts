// Modes that end by themselves: how long a one-shot's pulse lasts, by how much a comparator is late. A time is set when
// its mode is entered and runs out at a tick like any edge.
import type { System } from "../equations/system.js";
import type { Clock } from "./clock.js";

/** The times that are running. */
export class Timers {
  private readonly due = new Map<number, number>();
  /** Parts that have such modes. */
  private readonly timed: readonly number[];

  constructor(
    private readonly system: System,
    private readonly clock: Clock,
  ) {
    this.timed = [...system.members.keys()].filter(
      (p) => system.members[p].device.dwell && !system.members[p].fault,
    );
  }

  /** The first tick at which a time runs out, or Infinity. */
  next(): number {
    let first = Number.POSITIVE_INFINITY;
    for (const tick of this.due.values()) first = Math.min(first, tick);
    return first;
  }

  /** Puts parts whose time runs out at tick n into the mode that follows; true when there are any. */
  expire(modes: Uint8Array, n: number): boolean {
    let any = false;
    for (const [part, tick] of this.due) {
      if (tick > n) continue;
      this.due.delete(part);
      modes[part] = this.system.members[part].device.dwell!(modes[part])!.to;
      any = true;
    }
    return any;
  }

  /** Sets and clears times after modes have changed at tick n. */
  entered(before: Uint8Array, after: Uint8Array, n: number): void {
    for (const part of this.timed) {
      if (before[part] === after[part]) continue;
      const dwell = this.system.members[part].device.dwell!(after[part]);
      if (!dwell) this.due.delete(part);
      else if (!dwell.keeps || !this.due.has(part)) this.due.set(part, n + this.clock.at(dwell.lasts));
    }
  }

  /** Sets times for modes that the run starts in. */
  begin(modes: Uint8Array): void {
    this.entered(new Uint8Array(modes.length).fill(255), modes, 0);
  }

  /** At the start what would end a mode has long been: true when a mode was ended so. */
  collapse(modes: Uint8Array): boolean {
    let any = false;
    for (const part of this.timed) {
      const dwell = this.system.members[part].device.dwell!(modes[part]);
      if (!dwell) continue;
      modes[part] = dwell.to;
      any = true;
    }
    return any;
  }

  /** Writes what is running at tick n, as ticks to go, by part in the order of the text; gives where it ends. */
  write(n: number, out: Float64Array, from: number): number {
    let at = from;
    for (const part of this.timed) out[at++] = (this.due.get(part) ?? n - 1) - n;
    return at;
  }

  /** How many entries `write` writes. */
  get size(): number {
    return this.timed.length;
  }

  /** All that is running runs out so much later. */
  shift(ticks: number): void {
    for (const [part, tick] of this.due) this.due.set(part, tick + ticks);
  }

  /** Times still running after tick n, in seconds, by part. */
  running(n: number): Map<number, number> {
    return new Map([...this.due].map(([part, tick]) => [part, (tick - n) * this.clock.seconds]));
  }

  /** Sets times as they were running elsewhere. */
  resume(times: ReadonlyMap<number, number>): void {
    for (const [part, seconds] of times)
      this.due.set(part, Math.max(1, Math.round(seconds / this.clock.seconds)));
  }
}
