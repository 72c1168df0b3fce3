// One combination of modes, condensed: from the net of its conductances, the few small matrices that the march
// needs. Only capacitors and inductors remember anything, so with x their voltages and currents, u the levels of
// the sources (u[0] is always 1, for everything constant) and u' their slopes,
//
//     x' = A x + B u + D u'        any voltage or current = rows · (x, u, u')
//
// Dependent states: a capacitor in a loop of capacitors and held voltages, an inductor in a cut of inductors and
// pushed currents, follow the free states and the sources, y = T x + S u, with whole numbers in T and S where nothing
// is steered. Their q, the current of such a capacitor (the voltage of such an inductor), is what M z' makes it; mass.ts
// says how they move the free states. What always holds: the result depends on the combination alone, not on
// which others were met before.
import type { Guard } from "../parts/contract.js";
import { Currents } from "./currents.js";
import type { Element } from "./elements.js";
import { type Coupling, Mass, Motion } from "./mass.js";
import { partsOf } from "./network.js";
import { type Drive, drivesOf, type ThinRows, thinRowsOf } from "./rows.js";
import { compress, type Sparse } from "./sparse.js";
import { closed, Degenerate } from "./steering.js";
import { type Rows, RowTable, Shelf } from "./tables.js";
import { Tie } from "./tie.js";
import { type Dependence, Fault, topology } from "./topology.js";
import { Sum, type Vector } from "./vector.js";

export type { Rows } from "./tables.js";

/** Whose guard a row is, and where it leads. */
export interface GuardRow {
  readonly part: number;
  readonly to: number;
  readonly ofCurrent: boolean;
  /** It watches the control of a switch: obeying it is an act, after which everything else settles anew. */
  readonly control: boolean;
}

/** A guard that a part's mode asks for. */
export interface PartGuard {
  readonly part: number;
  readonly guard: Guard;
}

/** What a combination of modes consists of. */
export interface Given {
  /** Number of places, ground included. */
  readonly places: number;
  /** Number of states, and of sources, plus one for the constants. */
  readonly nx: number;
  readonly nu: number;
  readonly elements: readonly Element[];
  /** The first element of each part. */
  readonly firsts: Int32Array;
  readonly couplings: readonly Coupling[];
  readonly guards: readonly PartGuard[];
  /** Keep A without its zeros as well. */
  readonly thin: boolean;
}

/** The circuit in one combination of modes. */
export class Condensed {
  readonly nx: number;
  readonly nu: number;
  readonly elements: readonly Element[];
  /** Farads and henries of the states in this combination. */
  readonly sizes: Float64Array;
  readonly B: Float64Array;
  readonly D: Float64Array;
  /** A without its zeros, row by row. */
  readonly motions: ThinRows;
  /** A by columns without its zeros, the diagonal apart, in a circuit large enough for that to pay. */
  readonly thin?: Sparse;
  /** Sources (1…) that move the states in this combination. */
  readonly active: readonly number[];
  /** What they add, without zeros. */
  readonly drives: readonly Drive[];
  /** Guards with their levels and signs folded in: violated when positive. */
  readonly guards: Rows;
  readonly guardOf: readonly GuardRow[];
  /** Places whose voltage against ground is anything. */
  readonly floating: ReadonlySet<number>;
  /** Parts whose voltage or current is not right to ten digits, as far as rows were made. */
  readonly doubts = new Set<number>();
  /** The states that follow others. */
  readonly ties: readonly Tie[];
  private readonly network: Currents;
  private readonly mass: Mass;
  private readonly motion: Motion;
  /** What becomes of a column of the network that is no state and no source: q of dependent states, what steers. */
  private readonly replaced: ReadonlyMap<number, Vector>;
  /** What steers, over x | u, the columns of dependent states among x. */
  private readonly steers: readonly Vector[];
  private readonly raw: Sum;
  private readonly sum: Sum;
  private readonly voltages: Shelf;
  private readonly amperes: Shelf;
  private readonly firsts: Int32Array;
  private readonly asked: readonly PartGuard[];
  private fullA: Float64Array | undefined;
  private blows: Float64Array | undefined;
  private sharing: { readonly X: Float64Array; readonly U: Float64Array } | undefined;

  /** @throws Fault where the elements have no solution */
  constructor({ places, nx, nu, elements, firsts, couplings, guards, thin }: Given) {
    this.firsts = firsts;
    this.nx = nx;
    this.nu = nu;
    this.elements = elements;
    this.asked = guards;
    const { pins, floating, dependent } = topology(places, elements);
    this.floating = floating;
    const bound = new Uint8Array(nx);
    for (const { state } of dependent) bound[state] = 1;
    const network = new Currents(places, elements, pins, bound, nx, nu, this.doubts);
    this.network = network;
    this.raw = new Sum(network.width);
    this.sum = new Sum(nx + 2 * nu);
    const steers = this.closed();
    this.steers = steers;
    this.ties = dependent.map((d) => this.tie(d, bound));
    this.mass = new Mass(nx, elements, couplings);
    this.sizes = this.mass.sizes;
    const feels = this.feels(bound);
    this.motion = new Motion(this.mass, this.ties, nu, feels, (states) => this.blame(states));
    const slopes = this.motion.slopes();
    this.replaced = this.replacements(slopes);
    this.motions = thinRowsOf(slopes, nx);
    this.B = this.block(slopes, nx);
    this.D = this.block(slopes, nx + nu);
    if (thin) this.thin = compress(nx, entriesOf(this.motions));
    this.active = activeOf(this.B, this.D, nu);
    this.drives = drivesOf(this.active, this.B, this.D, nu);
    this.voltages = new Shelf(places, nx, nu, (p) => this.row(network.voltage(p, 0)));
    this.amperes = new Shelf(elements.length, nx, nu, (i) => this.row(network.current(i)));
    this.guards = new RowTable(
      guards.map((g) => this.row(this.guard(g))),
      nx,
      nu,
    );
    this.guardOf = guards.map(({ part, guard }) => ({
      part,
      to: guard.to,
      ofCurrent: "element" in guard.of,
      control: guard.control === true,
    }));
  }

  /** A in full, row by row. */
  get A(): Float64Array {
    if (!this.fullA) {
      const { nx, motions } = this;
      this.fullA = new Float64Array(nx * nx);
      for (let k = 0; k < nx; k++)
        for (let p = motions.start[k]; p < motions.start[k + 1]; p++)
          this.fullA[k * nx + motions.column[p]] = motions.value[p];
    }
    return this.fullA;
  }

  /** Voltage of every place against ground; row 0 is ground. All of them: `place` gives one. */
  get places(): Rows {
    return this.voltages.all;
  }

  /** Current of every element, in the order of `elements`. All of them: `current` gives one. */
  get currents(): Rows {
    return this.amperes.all;
  }

  /** Voltage of one place against ground, as rows of count one. */
  place(index: number): Rows {
    return this.voltages.one(index);
  }

  /** Current of one element, as rows of count one. */
  current(index: number): Rows {
    return this.amperes.one(index);
  }

  /** What a charge or flux shared at an instant adds to each guard, state by state (bound ones only); empty without such. */
  get impulses(): Float64Array {
    if (!this.blows) {
      const { nx, ties, sizes, asked } = this;
      const bound = new Set(ties.map(({ state }) => state));
      this.blows = new Float64Array(bound.size > 0 ? asked.length * nx : 0);
      for (const [g, guard] of bound.size > 0 ? asked.entries() : []) {
        // Levels stand in the column of the constants, so a state's column is free of them.
        const { at, of } = this.opened(this.guard(guard));
        for (let p = 0; p < at.length; p++)
          if (bound.has(at[p])) this.blows[g * nx + at[p]] = of[p] * sizes[at[p]];
      }
    }
    return this.blows;
  }

  /**
   * Adds to each guard what the charge and flux that were shared between two states do to it: a current or a voltage
   * without bound for no time. True also of coils that share flux, where one current's jump is not its own flux's.
   * @param before x just before the sharing, sizes as here
   */
  blow(before: Float64Array, after: Float64Array, guards: Float64Array): void {
    if (this.ties.length === 0) return;
    const { nx, ties, sizes, impulses, mass } = this;
    for (const { state } of ties) {
      const moved = mass.moved(state, after, before) / sizes[state];
      for (let g = 0; g < guards.length; g++) guards[g] += impulses[g * nx + state] * moved;
    }
  }

  /** After a jump: x⁺ = X x⁻ + U u⁺. */
  get share(): { readonly X: Float64Array; readonly U: Float64Array } {
    if (!this.sharing) {
      const { nx, nu } = this;
      this.sharing = { X: new Float64Array(nx * nx), U: new Float64Array(nx * nu) };
      const [x, u] = [new Float64Array(nx), new Float64Array(nu)];
      const column = (out: Float64Array, width: number, j: number) => {
        this.reconcile(x, u);
        for (let k = 0; k < nx; k++) out[k * width + j] = x[k];
        x.fill(0);
        u.fill(0);
      };
      for (let j = 0; j < nx; j++) {
        x[j] = 1;
        column(this.sharing.X, nx, j);
      }
      for (let j = 0; j < nu; j++) {
        u[j] = 1;
        column(this.sharing.U, nu, j);
      }
    }
    return this.sharing;
  }

  /** Sets the dependent states from the free ones. */
  follow(x: Float64Array, u: Float64Array): void {
    for (const tie of this.ties) x[tie.state] = tie.value(x, u);
  }

  /**
   * Makes the states fit this combination after a jump: charge and flux that no resistance can carry in no
   * time are shared as conservation asks. Changes x in place.
   * @param before the combination that x comes from, where sizes may have been others: every capacitor keeps its
   *   charge and every coil its flux, before anything is shared; absent: sizes as here
   * @returns the energy lost in the sharing, J: half the misfit times the charge (or flux) that mends it
   */
  reconcile(x: Float64Array, u: Float64Array, before?: Condensed): number {
    if (before) this.motion.resize(x, before.mass);
    if (this.ties.length === 0) return 0;
    const was = x.slice();
    const misfits = Float64Array.from(this.ties, (tie) => tie.value(x, u) - x[tie.state]);
    this.motion.share(misfits, x);
    this.follow(x, u);
    let lost = 0;
    for (const [i, { state }] of this.ties.entries()) {
      // A misfit of rounding size is none.
      if (Math.abs(misfits[i]) < 1e-12 * (Math.abs(was[state]) + Math.abs(x[state]))) continue;
      lost += 0.5 * misfits[i] * this.mass.moved(state, x, was);
    }
    return lost;
  }

  /** Every steering voltage over x | u, the columns of dependent states among x. */
  private closed(): readonly Vector[] {
    const { network, raw, nx, nu } = this;
    if (network.steered.length === 0) return [];
    const rows = network.steered.map((i) => {
      const { steer } = this.elements[i];
      return network.voltage(steer!.a, steer!.b);
    });
    try {
      return closed(rows, nx + nu, raw);
    } catch (error) {
      if (!(error instanceof Degenerate)) throw error;
      throw new Fault(
        "ill-conditioned",
        partsOf(
          this.elements,
          error.group.map((i) => network.steered[i]),
        ),
      );
    }
  }

  private tie({ state, states, levels }: Dependence, bound: Uint8Array): Tie {
    const { raw, nx, nu, network, steers } = this;
    for (const s of states) raw.put(s.state, s.factor);
    for (const { level, factor, steered } of levels) {
      if (typeof level !== "number") raw.put(nx + level.source, factor);
      else if (level !== 0) raw.put(nx, factor * level);
      if (!steered) continue;
      const steer = steers[network.steered.findIndex((i) => this.elements[i] === steered)];
      // What steers it must not hang on how fast the state itself changes.
      if (steer.at.some((at) => bound[at] === 1)) throw this.blame([state], steered);
      raw.add(steer, factor * steered.steer!.gain);
    }
    return new Tie(state, raw.take(), nx, nu);
  }

  /** What moves each free state: the current of a capacitor, the voltage of an inductor, over x | u. */
  private feels(bound: Uint8Array): ReadonlyMap<number, Vector> {
    const { network } = this;
    const feels = new Map<number, Vector>();
    for (const [i, e] of this.elements.entries()) {
      if (e.state < 0 || bound[e.state] === 1) continue;
      const row = e.type === "capacitor" ? network.current(i) : network.voltage(e.a, e.b);
      feels.set(e.state, this.opened(row));
    }
    return feels;
  }

  /** A row of the network with what steers put in; the columns of dependent states stay. */
  private opened(row: Vector): Vector {
    const first = this.nx + this.nu;
    return this.steers.length === 0 ? row : replace(row, this.raw, (column) => this.steers[column - first]);
  }

  private replacements(slopes: readonly Vector[]): ReadonlyMap<number, Vector> {
    const { sum, nx, nu, mass, steers } = this;
    const replaced = new Map<number, Vector>();
    for (const { state } of this.ties) {
      for (const [j, size] of mass.rows[state]) sum.add(slopes[j], size);
      replaced.set(state, sum.take());
    }
    const columns = new Map(replaced);
    for (const [s, row] of steers.entries())
      columns.set(
        nx + nu + s,
        replace(row, sum, (column) => replaced.get(column)),
      );
    return columns;
  }

  /** A row over x | u | u' of one over the columns of the network. */
  private row(raw: Vector): Vector {
    return replace(raw, this.sum, (column) => this.replaced.get(column));
  }

  /** What a guard is made of: positive when violated. */
  private guard({ part, guard: { of, side, level } }: PartGuard): Vector {
    const { network, raw, firsts, nx } = this;
    const row = "element" in of ? network.current(firsts[part] + of.element) : network.voltage(of.a, of.b);
    const sign = side === "above" ? 1 : -1;
    raw.add(row, sign);
    if (level !== 0) raw.put(nx, -sign * level);
    return raw.take();
  }

  private blame(states: readonly number[], steered?: Element): Fault {
    const to = [...this.elements.keys()].filter((i) => {
      const e = this.elements[i];
      return e === steered || (e.state >= 0 && states.includes(e.state));
    });
    return new Fault("ill-conditioned", partsOf(this.elements, to));
  }

  /** One source column of the slopes after another, from column `first` on. */
  private block(slopes: readonly Vector[], first: number): Float64Array {
    const { nx, nu } = this;
    const out = new Float64Array(nx * nu);
    for (const [k, { at, of }] of slopes.entries())
      for (let p = 0; p < at.length; p++)
        if (at[p] >= first && at[p] < first + nu) out[k * nu + at[p] - first] = of[p];
    return out;
  }
}

/** Puts rows in the place of some columns. */
function replace({ at, of }: Vector, sum: Sum, by: (column: number) => Vector | undefined): Vector {
  for (let p = 0; p < at.length; p++) {
    const row = by(at[p]);
    if (row) sum.add(row, of[p]);
    else sum.put(at[p], of[p]);
  }
  return sum.take();
}

function activeOf(B: Float64Array, D: Float64Array, nu: number): number[] {
  const moves = new Uint8Array(nu);
  for (let p = 0; p < B.length; p++) if (B[p] !== 0 || D[p] !== 0) moves[p % nu] = 1;
  return Array.from(moves.keys()).filter((s) => s > 0 && moves[s] === 1);
}

/** Every entry of A, and its diagonal. */
function* entriesOf({ start, column, value }: ThinRows): Generator<[number, number, number]> {
  for (let k = 0; k < start.length - 1; k++) {
    yield [k, k, 0];
    for (let p = start[k]; p < start[k + 1]; p++) yield [k, column[p], value[p]];
  }
}
