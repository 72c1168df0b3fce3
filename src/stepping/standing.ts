// The current value of each state while groups leap by themselves: the value, its tick, the group that moves it and its
// largest size so far; and the sources, each followed up to its next corner. The state of a group under way is computed on
// request in a copy, so that looking at it never cuts a leap.
import type { GroupState } from "./groupstate.js";
import { boundless } from "./growth.js";
import type { Inputs } from "./inputs.js";
import type { IntegratorHost } from "./integrator.js";
import { copyEntries, type Instant } from "./products.js";

/** The states of one march. */
export class Standing {
  readonly now: Instant;
  /** Largest size of each state so far, and how often one of these has grown. */
  readonly swing: Float64Array;
  grown = 0;
  /** The same, less what has been forgotten since. */
  readonly sizes: Float64Array;
  /** The group of each state, and the tick of its entry in `now.x`. */
  private readonly owner: GroupState[];
  private readonly fresh: Float64Array;
  /** The next corner of each source, as far as known. */
  private readonly due: Float64Array;

  constructor(
    nx: number,
    private readonly inputs: Inputs,
    private readonly host: IntegratorHost,
  ) {
    const nu = inputs.size;
    this.now = {
      x: new Float64Array(nx),
      u: new Float64Array(nu),
      du: new Float64Array(nu),
      crest: new Float64Array(nu),
      f: new Float64Array(nx),
    };
    this.now.u[0] = 1;
    this.swing = new Float64Array(nx);
    this.sizes = new Float64Array(nx);
    this.fresh = new Float64Array(nx);
    this.owner = new Array(nx);
    this.due = new Float64Array(inputs.players.length).fill(Number.NEGATIVE_INFINITY);
  }

  /** Every state is at tick n, and corners of sources are looked for again from there. */
  restart(n: number): void {
    this.fresh.fill(n);
    this.due.fill(Number.NEGATIVE_INFINITY);
  }

  /** Makes a group the one that moves its states. */
  give(group: GroupState): void {
    const { states } = group;
    for (let i = 0; i < states.length; i++) this.owner[states[i]] = group;
  }

  /** Brings all states and sources to tick n. */
  sync(n: number): void {
    const { now, inputs } = this;
    for (let k = 0; k < now.x.length; k++) this.freshen(k, n);
    inputs.place(n, 1, now);
    inputs.crests(n, 1, now.crest);
  }

  /** Brings a state to tick n. */
  freshen(state: number, n: number): void {
    if (this.fresh[state] === n) return;
    const group = this.owner[state];
    // At the start a state is as it was given.
    if (!group) return;
    const { beside, z } = group;
    if (group.seen !== n) {
      copyEntries(z, beside);
      if (group.from !== n)
        this.move(group, beside, n, this.inputs.recurs(group.from, n, group.motion.voices));
      group.seen = n;
    }
    this.write(group, beside, n);
  }

  /**
   * Moves z of a group, as it is at the group's tick, to tick n.
   * @param recurs as for `LeapMatrices.leap`
   */
  move(group: GroupState, z: Float64Array, n: number, recurs: boolean): void {
    const { from, matrices, motion, reached } = group;
    if (group.seen === n) {
      copyEntries(group.beside, z);
      return;
    }
    if (reached && group.looked === n) copyEntries(reached, z);
    else matrices.leap(z, n - from, recurs);
    // Dependent states are recomputed, so that drift is not taken for a loss.
    motion.follow(z);
  }

  /** Writes the states of a group at tick n. */
  write({ states }: GroupState, z: Float64Array, n: number): void {
    const { now, fresh } = this;
    for (let i = 0; i < states.length; i++) {
      now.x[states[i]] = z[i];
      fresh[states[i]] = n;
    }
  }

  /** Counts z of a group towards the largest sizes: also inside a leap, where a current may rise and come back to rest. */
  see(group: GroupState, z: Float64Array): void {
    const { swing } = this;
    const { states } = group;
    group.grow(z);
    for (let i = 0; i < states.length; i++) {
      const k = states[i];
      const size = Math.abs(z[i]);
      if (!(size < boundless)) this.host.astray(k);
      if (size > swing[k]) {
        swing[k] = size;
        this.grown++;
      }
    }
  }

  // ---- sources

  /** Moves the sources of a group to the stretches that begin at tick n; true where one jumps. */
  turn({ motion }: GroupState, n: number): boolean {
    const { inputs, due } = this;
    let jumps = false;
    for (const { source } of motion.voices) {
      if (due[source - 1] > n) continue;
      jumps ||= inputs.players[source - 1].jumpAt(n);
      this.play(source - 1, n);
    }
    return jumps;
  }

  /** The next corner of the sources of a group after tick n. */
  corner({ motion }: GroupState, n: number): number {
    const { due } = this;
    const { voices } = motion;
    let corner = Number.POSITIVE_INFINITY;
    for (let v = 0; v < voices.length; v++) {
      const p = voices[v].source - 1;
      this.play(p, n);
      if (due[p] < corner) corner = due[p];
    }
    return corner;
  }

  /** Updates the end of the stretch of source p that contains tick n. */
  private play(p: number, n: number): void {
    const { inputs, due } = this;
    if (due[p] > n) return;
    due[p] = inputs.players[p].next(n);
  }
}
