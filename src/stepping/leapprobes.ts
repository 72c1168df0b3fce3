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

/** The looks at the leap of one group, by depth. */
export class LeapProbes {
  /** How many have been taken. */
  taken = 0;
  private readonly probes: LeapProbe[] = [];
  /** How deep. */
  private used = 0;

  constructor(readonly group: GroupState) {}

  begin(): void {
    this.taken = 0;
    this.used = 0;
  }

  /** The look of a depth; it stands where it last stood. */
  at(depth: number): LeapProbe {
    if (depth >= this.used) this.used = depth + 1;
    const { probes } = this;
    while (probes.length <= depth) probes.push(new LeapProbe(this.group.motion.width));
    return probes[depth];
  }

  /** Shows what stands in them, up to so many ticks from the start, and lets them go. */
  passed(until: number, see: (group: GroupState, z: Float64Array) => void): void {
    const { probes } = this;
    for (let k = 0; k < this.used; k++) if (probes[k].n <= until) see(this.group, probes[k].z);
    this.used = 0;
  }

  /** Puts a look at so many ticks from the start. */
  go(to: LeapProbe, n: number): void {
    const { group } = this;
    to.n = n;
    to.z.set(group.z);
    group.matrices.leap(to.z, n, false);
    this.derive(to);
  }

  /** True where every state is within what counts as bounded. */
  bounded(z: Float64Array): boolean {
    for (let i = 0; i < this.group.motion.group.states.length; i++)
      if (!(Math.abs(z[i]) < boundless)) return false;
    return true;
  }

  /** The last tick of a leap at which every state is bounded, where it is not at the end. */
  last(length: number): number {
    const { group } = this;
    const z = new Float64Array(group.z.length);
    let [low, high] = [0, length];
    while (high - low > 1) {
      const middle = low + Math.floor((high - low) / 2);
      z.set(group.z);
      group.matrices.leap(z, middle, false);
      if (this.bounded(z)) low = middle;
      else high = middle;
    }
    return low;
  }

  /** Works out the derivatives where z stands. */
  derive(at: LeapProbe): void {
    const { motion } = this.group;
    const { courses } = at;
    for (let k = 0; k < orders; k++) motion.derive(courses[k], courses[k + 1]);
    at.finite = this.bounded(at.z) && Number.isFinite(courses[orders].reduce((sum, v) => sum + v, 0));
    this.taken++;
  }
}
