// Where each state stands while groups leap by themselves: its value, the tick at which it has that, the group that moves
// it and the largest size it has had; and the sources, each played up to its next corner. The state of a group that is under
// way is worked out beside it when someone asks, so that nobody's look cuts a leap.
import type { GroupState } from "./groupstate.js";
import { boundless } from "./growth.js";
import type { Inputs } from "./inputs.js";
import type { IntegratorHost } from "./integrator.js";
import { copyEntries, type Instant } from "./products.js";

/** The states of one march. */
export class Standing {
  readonly now: Instant;
  /** Largest size each state has had, and how often one of these has grown. */
  readonly swing: Float64Array;
  grown = 0;
  /** The group of each state, and the tick at which its entry of `now.x` stands. */
  private readonly owner: GroupState[];
  private readonly fresh: Float64Array;
  /** The next corner of each source, as far as it has been looked for. */
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
    this.fresh = new Float64Array(nx);
    this.owner = new Array(nx);
    this.due = new Float64Array(inputs.players.length).fill(Number.NEGATIVE_INFINITY);
  }

  /** Every state stands at tick n, and sources are sought anew from there. */
  restart(n: number): void {
    this.fresh.fill(n);
    this.due.fill(Number.NEGATIVE_INFINITY);
  }

  /** From now on a group moves its states. */
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

  /** Sees to it that a state stands at tick n. */
  freshen(state: number, n: number): void {
    if (this.fresh[state] === n) return;
    const group = this.owner[state];
    // At the beginning it is as it was given.
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
   * Moves z of a group, which holds what it is where the group stands, to tick n.
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
    // States that follow others are set anew, so that no drift is taken for a loss.
    motion.follow(z);
  }

  /** Writes the states of a group, as they are at tick n. */
  write({ states }: GroupState, z: Float64Array, n: number): void {
    const { now, fresh } = this;
    for (let i = 0; i < states.length; i++) {
      now.x[states[i]] = z[i];
      fresh[states[i]] = n;
    }
  }

  /** Lets z of a group count: what flows inside a leap does so too, for a current may rise and come to rest within one. */
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

  /** The sources of a group go over to the stretches that begin at tick n; true where one jumps. */
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

  /** The next corner of a source of a group, once they play at tick n. */
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

  /** The end of the stretch of source p that begins at tick n, or holds it. */
  private play(p: number, n: number): void {
    const { inputs, due } = this;
    if (due[p] > n) return;
    due[p] = inputs.players[p].next(n);
  }
}
