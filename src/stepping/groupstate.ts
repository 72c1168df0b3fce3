// The moving state of one course: its bounds and probes, z at the tick where it stands, and up to which tick no guard is
// known to cross. Always: z is the state at `from`; nothing crosses before `clear`; the first known crossing is at `hit`.

import type { CarrierBounds } from "./carrierbounds.js";
import { Ceilings } from "./ceilings.js";
import { type Course, lateness } from "./courses.js";
import type { Forgetting } from "./forgetting.js";
import { boundless } from "./growth.js";
import type { GuardBounds } from "./guardbounds.js";
import type { Inputs } from "./inputs.js";
import type { LeapMatrices } from "./leapmatrices.js";
import { LeapProbes } from "./leapprobes.js";
import type { Motion } from "./motion.js";
import { paces } from "./rounding.js";

/** Rounding that a guard may have accumulated, as a share of its terms at their largest. */
const roundings = 512 * Number.EPSILON;

const none: readonly number[] = [];

/** What leaps need of one course. */
export class GroupState {
  readonly motion: Motion;
  /** Indices of its states. */
  readonly states: readonly number[];
  readonly matrices: LeapMatrices;
  readonly bounds: GuardBounds;
  readonly ceilings: Ceilings;
  /** Sizes of its guards, see `Course`. */
  readonly reach: Float64Array;
  private readonly sills: Float64Array;
  private readonly forgetting: Forgetting;
  /** Bounds where carriers ring. */
  readonly ringing: CarrierBounds | undefined;
  readonly probes: LeapProbes;
  readonly z: Float64Array;
  /** z before its last move. */
  readonly start: Float64Array;
  /** z', once `speed` has computed it. */
  readonly d: Float64Array;
  private derived = false;
  /** In a group where nothing moves, the guards that are violated for good; undefined elsewhere. */
  private lasting: readonly number[] | undefined = undefined;
  /** States of the group, as bits. */
  readonly mask: number;
  /** The tick at which z stands. */
  from = 0;
  /** Whether the sources are in z and `corner` is known. */
  aimed = false;
  /** The next tick at which a source of the group has a corner. */
  corner = 0;
  clear = Number.NEGATIVE_INFINITY;
  hit = Number.POSITIVE_INFINITY;
  /** Guards of the course that cross at `hit`. */
  hits: readonly number[] = none;
  /** The tick up to which guards were watched, whether the leap there recurs, and z there if it was computed. */
  looked = 0;
  recurs = false;
  reached: Float64Array | undefined = undefined;
  /** Number of guards. */
  private readonly count: number;
  /** z at another tick, and that tick, for whoever asks for the state there. */
  readonly beside: Float64Array;
  seen = -1;
  /** Largest size of each entry of z so far, as far as it has not been forgotten; of a source, on its stretch. */
  private readonly most: Float64Array;
  private answering: Float64Array | undefined = undefined;

  constructor(course: Course) {
    const { motion, matrices, bounds, ringing, forgetting } = course;
    this.motion = motion;
    this.matrices = matrices;
    this.bounds = bounds;
    this.reach = course.reach;
    this.sills = course.sills;
    this.forgetting = forgetting;
    this.ceilings = new Ceilings(bounds, motion);
    this.ringing = ringing;
    this.states = motion.group.states;
    this.count = motion.guards.start.length - 1;
    this.z = new Float64Array(motion.width);
    this.probes = new LeapProbes(motion, matrices, this.z);
    this.start = new Float64Array(motion.width);
    this.d = new Float64Array(motion.width);
    this.beside = new Float64Array(motion.width);
    this.most = new Float64Array(motion.width);
    this.mask = this.states.reduce((mask, k) => mask | (1 << k), 0);
  }

  /** Takes over the state at a tick. */
  begin(n: number, x: Float64Array, sizes: Float64Array): void {
    const { states, z } = this;
    for (let i = 0; i < states.length; i++) z[i] = x[states[i]];
    this.recall(sizes);
    this.stand(n);
  }

  /** Takes over the sizes of its states. */
  recall(sizes: Float64Array): void {
    const { states, z, most } = this;
    for (let i = 0; i < states.length; i++) {
      const size = Math.abs(z[i]);
      const before = sizes[states[i]];
      most[i] = Math.max(size, before);
    }
  }

  /** Forgets what it has forgotten by the end of a leap, where z has been counted; gives the sizes of its states. */
  remember(ticks: number, sizes: Float64Array): void {
    const { states, most, z } = this;
    this.forgetting.fade(most, ticks, z);
    for (let i = 0; i < states.length; i++) sizes[states[i]] = most[i];
  }

  /** Places z at a tick and forgets what was known of the leap there. */
  stand(n: number): void {
    this.from = n;
    this.aimed = false;
    this.derived = false;
    this.clear = Number.NEGATIVE_INFINITY;
    this.hit = Number.POSITIVE_INFINITY;
    this.hits = none;
    this.reached = undefined;
    this.looked = -1;
    this.seen = -1;
  }

  /** Sets the sources to the stretches that begin here, up to a corner after so many ticks. */
  aim(inputs: Inputs, ticks: number): void {
    const { motion, z, most, states, matrices } = this;
    const seconds = ticks * matrices.tick;
    motion.drive(inputs, this.from, 1, z);
    for (let j = states.length; j < z.length; j++) most[j] = 0;
    this.grow(z, states.length);
    for (let j = motion.one + 1; j < z.length; j += 2) most[j] += seconds * most[j + 1];
    this.aimed = true;
  }

  /** z', once the sources are set. */
  speed(): Float64Array {
    const { motion, z, d } = this;
    if (!this.derived) motion.derive(z, d);
    this.derived = true;
    return d;
  }

  /** Whether nothing in it moves and its violated guards have been found. */
  get known(): boolean {
    return this.lasting !== undefined;
  }

  /** Guards above zero by more than half of the rounding that a leap allows. */
  violated(): readonly number[] {
    if (this.lasting) return this.lasting;
    let found: number[] | undefined;
    for (let g = 0; g < this.count; g++) {
      const level = this.level(g, this.z);
      if (!(level > 0) || level <= this.noise(g) / 2) continue;
      found ??= [];
      found.push(g);
    }
    if (this.motion.width === 1) this.lasting = found ?? none;
    return found ?? none;
  }

  /** The state (of the circuit) that has grown without bound. */
  get beyond(): number {
    const { states } = this;
    return states[states.findIndex((_, i) => !(Math.abs(this.z[i]) < boundless))];
  }

  /** Returns z, moved by so many ticks, to the last tick at which it was within bounds; gives that tick, from the start. */
  back(ticks: number): number {
    const { z, start, probes, matrices, motion } = this;
    z.set(start);
    const last = probes.last(ticks);
    if (last > 0) {
      matrices.leap(z, last, false);
      motion.follow(z);
    }
    return last;
  }

  /** Guard g at z. */
  level(g: number, z: Float64Array): number {
    const { start, column, value } = this.motion.guards;
    let sum = 0;
    for (let p = start[g], end = start[g + 1]; p < end; p++) sum += value[p] * z[column[p]];
    return sum;
  }

  /** Its slope a second, from z'. */
  slope(g: number, d: Float64Array): number {
    return this.level(g, d);
  }

  /** The rounding error of guard g: judged by its terms at their largest so far, not by what is written elsewhere. */
  noise(g: number): number {
    const { start, column, value } = this.motion.guards;
    let sum = 0;
    for (let p = start[g], end = start[g + 1]; p < end; p++) sum += Math.abs(value[p]) * this.most[column[p]];
    return roundings * sum;
  }

  /** Counts some guards' levels in a leap watched for so many ticks, `end` being z after all of it. */
  saw(guards: readonly number[], end: Float64Array, ticks: number): void {
    const { reach, sills, probes } = this;
    for (let k = 0; k < guards.length; k++) {
      const g = guards[k];
      reach[g] = Math.max(reach[g], Math.abs(this.level(g, end)));
      // A leap from crossing to crossing shows how far it goes only in between.
      if (ticks < 3 || sills[g] <= lateness * reach[g]) continue;
      const middle = probes.at(probes.used);
      probes.go(middle, Math.floor(ticks / 3));
      reach[g] = Math.max(reach[g], Math.abs(this.level(g, middle.z)));
    }
  }

  /** After how many ticks of a leap that is to be judged anew; if after none of it, what is taken for rounding counts. */
  settles(g: number, ticks: number, sill: number): number {
    const until = this.forgetting.settles(g, this.most, ticks);
    if (until === ticks) this.sills[g] = Math.max(this.sills[g], sill);
    return until;
  }

  /**
   * The rounding error of guard g in so many seconds from all flows into its states, where these balance: the states may
   * always have been zero. A state accumulates such errors no longer than its own time constant.
   */
  drift(g: number, seconds: number): number {
    const { motion, states, most, rates } = this;
    const { start, column, value } = motion.guards;
    const { A } = motion;
    let sum = 0;
    for (let p = start[g], end = start[g + 1]; p < end; p++) {
      const j = column[p];
      if (j >= states.length) continue;
      let flow = 0;
      for (let q = A.start[j]; q < A.start[j + 1]; q++)
        if (A.column[q] !== j) flow += Math.abs(A.value[q]) * most[A.column[q]];
      const time = seconds * rates[j] > 1 ? 1 / rates[j] : seconds;
      sum += Math.abs(value[p]) * flow * time;
    }
    return roundings * sum;
  }

  /** Counts z, or a state seen inside a leap, towards the largest sizes, from its `first` entry on. */
  grow(z: Float64Array, first = 0): void {
    const { most } = this;
    for (let j = first; j < z.length; j++) {
      const size = Math.abs(z[j]);
      if (size > most[j]) most[j] = size;
    }
    const { voices } = this.motion;
    for (let v = 0; v < voices.length; v++) {
      const { carrier } = voices[v];
      if (carrier < 0) continue;
      // A sine that passes through zero is as large as its quadrature.
      for (let j = carrier; j < carrier + 4; j += 2) {
        const size = Math.abs(z[j]) + Math.abs(z[j + 1]);
        most[j] = Math.max(most[j], size);
        most[j + 1] = Math.max(most[j + 1], size);
      }
    }
  }

  /** The rate at which each state and its strongest neighbour move each other, per second. */
  private get rates(): Float64Array {
    this.answering ??= paces(this.motion.A, this.states.length);
    return this.answering;
  }
}
