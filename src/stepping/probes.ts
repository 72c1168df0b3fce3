// Looks into a leap: z and its derivatives at any tick of it, each from where the leap starts, so that a look owes
// nothing to those before it.
import type { GroupState } from "./groupstate.js";
import { boundless } from "./growth.js";

/** One instant that is looked at. */
export class LeapProbe {
  /** Ticks from the start of the leap. */
  n = 0;
  /** z and its derivatives. */
  readonly courses: readonly Float64Array[];
  /** False where what grows without end (an amplifier that feeds itself) is beyond all bounds. */
  finite = true;

  constructor(width: number) {
    this.courses = Array.from({ length: orders + 1 }, () => new Float64Array(width));
  }

  get z(): Float64Array {
    return this.courses[0];
  }
  /** z' */
  get d(): Float64Array {
    return this.courses[1];
  }
  /** z'' */
  get dd(): Float64Array {
    return this.courses[2];
  }
}

/** How often z is derived. */
export const orders = 4;

/** The looks at the leap of one flight, by depth. */
export class LeapProbes {
  /** How many have been taken. */
  taken = 0;
  private readonly looks: LeapProbe[] = [];
  /** How deep. */
  private used = 0;

  constructor(readonly flight: GroupState) {}

  begin(): void {
    this.taken = 0;
    this.used = 0;
  }

  /** The look of a depth; it stands where it last stood. */
  at(depth: number): LeapProbe {
    if (depth >= this.used) this.used = depth + 1;
    const { looks } = this;
    while (looks.length <= depth) looks.push(new LeapProbe(this.flight.motion.width));
    return looks[depth];
  }

  /** Shows what stands in them, up to so many ticks from the start, and lets them go. */
  passed(until: number, see: (flight: GroupState, z: Float64Array) => void): void {
    const { looks } = this;
    for (let k = 0; k < this.used; k++) if (looks[k].n <= until) see(this.flight, looks[k].z);
    this.used = 0;
  }

  /** Puts a look at so many ticks from the start. */
  go(to: LeapProbe, n: number): void {
    const { flight } = this;
    to.n = n;
    to.z.set(flight.z);
    flight.pieces.leap(to.z, n, false);
    this.derive(to);
  }

  /** True where every state is within what counts as bounded. */
  bounded(z: Float64Array): boolean {
    for (let i = 0; i < this.flight.motion.group.states.length; i++)
      if (!(Math.abs(z[i]) < boundless)) return false;
    return true;
  }

  /** The last tick of a leap at which every state is bounded, where it is not at the end. */
  last(length: number): number {
    const { flight } = this;
    const z = new Float64Array(flight.z.length);
    let [low, high] = [0, length];
    while (high - low > 1) {
      const middle = low + Math.floor((high - low) / 2);
      z.set(flight.z);
      flight.pieces.leap(z, middle, false);
      if (this.bounded(z)) low = middle;
      else high = middle;
    }
    return low;
  }

  /** Works out the derivatives where z stands. */
  derive(at: LeapProbe): void {
    const { motion } = this.flight;
    const { courses } = at;
    for (let k = 0; k < orders; k++) motion.derive(courses[k], courses[k + 1]);
    at.finite = this.bounded(at.z) && Number.isFinite(courses[orders].reduce((sum, v) => sum + v, 0));
    this.taken++;
  }
}
