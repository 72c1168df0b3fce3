// Probes into a leap: z and its derivatives at any tick of it, each computed from the start of the leap, so that a probe
// does not depend on earlier ones. Derivatives are computed on request, since most probes need few.
import { boundless } from "./growth.js";
import type { LeapMatrices } from "./leapmatrices.js";
import type { Motion } from "./motion.js";
import { copyEntries } from "./products.js";
import { waysOf } from "./rises.js";

/** The highest derivative of z. */
export const orders = 4;

/** One instant within a leap. */
export class LeapProbe {
  /** Ticks from the start of the leap. */
  n = 0;
  readonly z: Float64Array;
  /** z and its derivatives, and how many of these are computed. */
  private readonly courses: readonly Float64Array[];
  private known = 0;
  /** For each derivative, which of its entries are above zero, see `waysOf`; unused for z itself. */
  private readonly signs: readonly Int32Array[];
  private signed = 0;
  private judged = false;
  private bounded = false;

  constructor(private readonly motion: Motion) {
    const { width } = motion;
    this.courses = Array.from({ length: orders + 1 }, () => new Float64Array(width));
    this.signs = this.courses.map(() => new Int32Array(width));
    this.z = this.courses[0];
  }

  /** z has been set; its first derivative is taken over if known. */
  moved(d?: Float64Array): void {
    this.known = 0;
    this.signed = 0;
    this.judged = false;
    if (!d) return;
    copyEntries(d, this.courses[1]);
    this.known = 1;
  }

  /** The derivative of z of this order. */
  course(order: number): Float64Array {
    const { courses, motion } = this;
    for (; this.known < order; this.known++) motion.derive(courses[this.known], courses[this.known + 1]);
    return courses[order];
  }

  /** Which entries of a derivative are above zero. */
  ways(order: number): Int32Array {
    const { signs } = this;
    while (this.signed < order) {
      this.signed++;
      waysOf(this.course(this.signed), signs[this.signed]);
    }
    return signs[order];
  }

  /** z' */
  get d(): Float64Array {
    return this.course(1);
  }
  /** z'' */
  get dd(): Float64Array {
    return this.course(2);
  }

  /** False where unbounded growth (an amplifier that feeds itself) is beyond all bounds. */
  get finite(): boolean {
    if (!this.judged) {
      this.judged = true;
      this.bounded = within(this.z, this.motion.group.states.length) && this.derivable();
    }
    return this.bounded;
  }

  /** Whether all derivatives are numbers. */
  private derivable(): boolean {
    const { z, motion } = this;
    if (motion.slow && within(z, z.length)) return true;
    const last = this.course(orders);
    let sum = 0;
    for (let j = 0; j < last.length; j++) sum += last[j];
    return Number.isFinite(sum);
  }
}

/** The probes into the leap of one group, by depth: each halving of a watched interval is one deeper. */
export class LeapProbes {
  /** How many have been taken. */
  taken = 0;
  private readonly probes: LeapProbe[] = [];
  /** How many are in use. */
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

  /** The probe of a depth, as last placed. */
  at(depth: number): LeapProbe {
    if (depth >= this.used) this.used = depth + 1;
    const { probes } = this;
    while (probes.length <= depth) probes.push(new LeapProbe(this.motion));
    return probes[depth];
  }

  /** Places a probe at the start of the leap. @param d z' there */
  stay(to: LeapProbe, d: Float64Array): void {
    to.n = 0;
    copyEntries(this.start, to.z);
    to.moved(d);
    this.taken++;
  }

  /**
   * Places a probe at so many ticks from the start.
   * @param recurs as for `LeapMatrices.leap`
   */
  go(to: LeapProbe, n: number, recurs = false): void {
    to.n = n;
    copyEntries(this.start, to.z);
    this.matrices.leap(to.z, n, recurs);
    to.moved();
    this.taken++;
  }

  /** Whether every state is within `boundless`. */
  bounded(z: Float64Array): boolean {
    return within(z, this.motion.group.states.length);
  }

  /** The last tick of a leap at which every state is bounded, for a leap at whose end one is not. */
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
}

/** Whether the first entries are all within `boundless`. */
function within(z: Float64Array, count: number): boolean {
  for (let i = 0; i < count; i++) if (!(Math.abs(z[i]) < boundless)) return false;
  return true;
}
