// Modes that switch each other on and off ever faster. Of the first order the events have no time between them; of the
// second order (a voltage held at a level by a switch behind a coil) each comes sooner than the one before and they never
// come to an end. An oscillator is neither, however fast: between its events some state goes through its hysteresis, and
// its period does not shrink without end.
import { Stop } from "./ending.js";

/** The most events in a row, each within a few ticks of the last, before the run is stopped. */
const crowd = 64;
/** Ticks between two events that count as no time: some 1e-13 of the run. */
const together = 1024;
/** Events before an ever faster switching is looked for; from then on at each doubling of their number. */
const first = 1024;
/** Doublings in a row, each with less than this share of the time between two events of the one before. */
const doublings = 3;
const shrinking = 0.8;
/** Between two events no state moves by more than this share of its swing. */
const still = 1e-2;

/** Watches the events of one march that depend on the state. */
export class Chatter {
  private crowded = 0;
  private last = Number.NEGATIVE_INFINITY;
  private count = 0;
  private due = first;
  /** Tick at which the present stretch of events began, the number of events before it, and the mean time of the last. */
  private from = 0;
  private before = 0;
  private mean = Number.POSITIVE_INFINITY;
  private faster = 0;
  private moves = false;
  private x = new Float64Array(0);
  private readonly parts = new Set<number>();

  /**
   * An event at tick n.
   * @param x the states there
   * @param swing largest size that each state has had
   * @param parts the parts that switch
   * @param tick seconds
   * @param check called before the run is stopped for events without time between
   * @throws Stop
   */
  event(
    n: number,
    x: Float64Array,
    swing: Float64Array,
    parts: readonly number[],
    tick: number,
    check: () => void,
  ): void {
    this.crowded = n - this.last <= together ? this.crowded + 1 : 0;
    this.last = n;
    if (this.crowded > crowd) {
      check();
      throw new Stop("chatter", parts);
    }
    this.count++;
    for (const part of parts) this.parts.add(part);
    if (this.x.length !== x.length) this.x = x.slice();
    for (let i = 0; i < x.length; i++) {
      if (Math.abs(x[i]! - this.x[i]!) > still * swing[i]!) this.moves = true;
      this.x[i] = x[i]!;
    }
    if (this.count < this.due) return;
    const mean = (n - this.from) / (this.count - this.before);
    this.faster = !this.moves && mean < shrinking * this.mean ? this.faster + 1 : 0;
    if (this.faster >= doublings) {
      const { count } = this;
      throw new Stop("chatter", [...this.parts], { count, seconds: mean * tick });
    }
    this.mean = mean;
    this.from = n;
    this.before = this.count;
    this.due = 2 * this.count;
    this.moves = false;
    this.parts.clear();
  }
}
