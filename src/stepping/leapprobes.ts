// Probes into a leap: z and its derivatives at any tick of it, each worked out from where the leap starts, so that a probe
// owes nothing to those before it.
import { boundless } from "./growth.js";
import { waysOf } from "./guardbounds.js";
import type { LeapMatrices } from "./leapmatrices.js";
import type { Motion } from "./motion.js";

/** One instant within a leap. */
export class LeapProbe {
  /** Ticks from the start of the leap. */
  n = 0;
  /** z and its derivatives. */
  readonly courses: readonly Float64Array[];
  /** Of each derivative which of its entries are above zero, see `waysOf`; of z itself nothing. */
  readonly ways: readonly Int32Array[];
  /** False where what grows without end (an amplifier that feeds itself) is beyond all bounds. */
  finite = true;

  constructor(width: number) {
    this.courses = Array.from({ length: orders + 1 }, () => new Float64Array(width));
    this.ways = this.courses.map(() => new Int32Array(width));
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

/** The probes into the leap of one group, by depth: each half of an interval that is watched is one deeper. */
export class LeapProbes {
  /** How many have been taken. */
  taken = 0;
  private readonly probes: LeapProbe[] = [];
  /** How many stand somewhere in it. */
  used = 0;

  /** @param start z where the leap starts */
  constructor(
    private readonly motion: Motion,
    private readonly matrices: LeapMatrices,
    private readonly start: Float64Array,
  ) {}

  begin(): void {
    this.taken = 0;
    this.used = 0;
  }

  /** The probe of a depth; it stands where it last stood. */
  at(depth: number): LeapProbe {
    if (depth >= this.used) this.used = depth + 1;
    const { probes } = this;
    while (probes.length <= depth) probes.push(new LeapProbe(this.motion.width));
    return probes[depth];
  }

  /** Puts a probe at so many ticks from the start. */
  go(to: LeapProbe, n: number): void {
    to.n = n;
    to.z.set(this.start);
    this.matrices.leap(to.z, n, false);
    this.derive(to);
  }

  /** True where every state is within what counts as bounded. */
  bounded(z: Float64Array): boolean {
    for (let i = 0; i < this.motion.group.states.length; i++) if (!(Math.abs(z[i]) < boundless)) return false;
    return true;
  }

  /** The last tick of a leap at which every state is bounded, where it is not at the end. */
  last(length: number): number {
    const { start, matrices } = this;
    const z = new Float64Array(start.length);
    let [low, high] = [0, length];
    while (high - low > 1) {
      const middle = low + Math.floor((high - low) / 2);
      z.set(start);
      matrices.leap(z, middle, false);
      if (this.bounded(z)) low = middle;
      else high = middle;
    }
    return low;
  }

  /** Works out the derivatives where z stands. */
  derive(at: LeapProbe): void {
    const { motion } = this;
    const { courses, ways } = at;
    for (let k = 0; k < orders; k++) {
      motion.derive(courses[k], courses[k + 1]);
      waysOf(courses[k + 1], ways[k + 1]);
    }
    const last = courses[orders];
    let sum = 0;
    for (let j = 0; j < last.length; j++) sum += last[j];
    at.finite = this.bounded(at.z) && Number.isFinite(sum);
    this.taken++;
  }
}
