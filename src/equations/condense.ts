// One combination of modes, condensed: the few small matrices that the march needs. Only capacitors and inductors remember
// anything, so with x their voltages and currents, u the levels of the sources (u[0] is always 1, for everything constant)
// and u' their slopes,
//
//     x' = A x + B u + D u'        any voltage or current = rows · (x, u, u')
//
// Dependent states follow the free ones and the sources, y = T x + S u, with whole numbers in T and S where nothing is
// steered. Their q, the current of such a capacitor or the voltage of such an inductor, is their row of M z'; mass.ts says
// how they move the free states. The result depends on the combination alone, not on which others were met before.
import type { DependentState } from "./dependent.js";
import type { Element } from "./elements.js";
import { Mass, MassEquation } from "./mass.js";
import { Outputs } from "./outputs.js";
import { type Remainder, remainderOf } from "./remainder.js";
import { LazyRows, type Rows, RowTable } from "./rows.js";
import { compress, type SparseColumns } from "./sparsecolumns.js";
import {
  activeOf,
  blockOf,
  type Drive,
  drivesOf,
  entriesOf,
  fullRows,
  type SparseRows,
  sparseRowsOf,
} from "./sparserows.js";
import type { GuardRow, PartGuard, Stamps } from "./stamps.js";
import { topology } from "./topology.js";
import type { Vector } from "./vector.js";

export type { Rows } from "./rows.js";
export type { GuardRow, PartGuard, Stamps } from "./stamps.js";

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
  readonly rowsOfA: SparseRows;
  /** A by columns without its zeros, but with its whole diagonal, in a circuit large enough for that to pay. */
  readonly columnsOfA?: SparseColumns;
  /** Sources (1…) that move the states in this combination. */
  readonly active: readonly number[];
  /** Their effect on the states, without zeros. */
  readonly drives: readonly Drive[];
  /** Guards with their levels and signs folded in: violated when positive. */
  readonly guards: Rows;
  readonly guardOf: readonly GuardRow[];
  /** Places whose voltage against ground is arbitrary, each with one place that stands for all that float with it. */
  readonly floating: ReadonlyMap<number, number>;
  /** Parts whose voltage or current is not right to ten digits, as far as rows have been made. */
  readonly doubts: Set<number> = new Set();
  /** The states that follow others. */
  readonly dependent: readonly DependentState[];
  private readonly outputs: Outputs;
  /** The doubts about the rows that every reader has. */
  private readonly doubted: readonly number[];
  private readonly motion: MassEquation;
  private readonly slopes: readonly Vector[];
  private left: Remainder | undefined = undefined;
  private readonly voltages: LazyRows;
  private readonly amperes: LazyRows;
  private readonly asked: readonly PartGuard[];
  private fullA: Float64Array | undefined = undefined;
  private blows: Float64Array | undefined = undefined;
  /** How many places there are, with ground: `places` would make all their rows. */
  readonly spots: number;
  private suddenly: { readonly currents: Float64Array; readonly places: Float64Array } | undefined =
    undefined;
  private sharing: { readonly X: Float64Array; readonly U: Float64Array } | undefined = undefined;

  /** @throws Unsolvable where the elements have no solution */
  constructor(given: Stamps) {
    const { places, nx, nu, elements, couplings, guards } = given;
    this.nx = nx;
    this.spots = places;
    this.nu = nu;
    this.elements = elements;
    this.asked = guards;
    const plan = topology(places, elements, given.begun);
    this.floating = plan.floating;
    const readings = new Outputs(given, plan, this.doubts);
    this.outputs = readings;
    this.dependent = plan.dependent.map((d) => readings.tie(d));
    const mass = new Mass(nx, elements, couplings);
    this.sizes = mass.sizes;
    this.motion = new MassEquation(mass, this.dependent, nu, readings.feels(), (states) =>
      readings.blame(states),
    );
    const slopes = this.motion.slopes();
    this.slopes = slopes;
    readings.complete(slopes, mass, this.dependent);
    this.rowsOfA = sparseRowsOf(slopes, nx);
    this.B = blockOf(slopes, nx, nu);
    this.D = blockOf(slopes, nx + nu, nu);
    if (given.sparse) this.columnsOfA = compress(nx, entriesOf(this.rowsOfA));
    this.active = activeOf(this.B, this.D, nu);
    this.drives = drivesOf(this.active, this.B, this.D, nu);
    const told = (doubts: Set<number>) => {
      readings.net.doubts = doubts;
      return readings;
    };
    this.voltages = new LazyRows(places, nx, nu, (p, doubts) => told(doubts).place(p));
    this.amperes = new LazyRows(elements.length, nx, nu, (i, doubts) => told(doubts).current(i));
    this.guards = new RowTable(
      guards.map((g) => readings.guard(g, () => this.remainder)),
      nx,
      nu,
    );
    this.guardOf = guards.map(({ part, guard }) => ({
      part,
      to: guard.to,
      ofCurrent: "element" in guard.of,
      control: guard.control === true,
    }));
    this.doubted = [...this.doubts];
  }

  /** The same for another circuit with the same stamps, whose doubts are those about what is read there. */
  again(): Condensed {
    const other: Condensed = Object.create(Condensed.prototype);
    return Object.assign(other, this, { doubts: new Set(this.doubted), suddenly: undefined });
  }

  /** Every row made later is doubted by this circuit alone. */
  private get readings(): Outputs {
    this.outputs.net.doubts = this.doubts;
    return this.outputs;
  }

  /** A in full, row by row. */
  get A(): Float64Array {
    this.fullA ??= fullRows(this.rowsOfA, this.nx);
    return this.fullA;
  }

  /** The rounding error of A and B in doubles, computed on first use. */
  get remainder(): Remainder {
    const { nx, nu, slopes, motion, readings } = this;
    this.left ??= remainderOf(nx, nu, slopes, motion.spread(), readings.moving());
    return this.left;
  }

  /** Voltage of every place against ground; row 0 is ground. All of them: `place` gives one. */
  get places(): Rows {
    return this.voltages.all(this.doubts);
  }

  /** Current of every element, in the order of `elements`. All of them: `current` gives one. */
  get currents(): Rows {
    return this.amperes.all(this.doubts);
  }

  /** Voltage of one place against ground, as rows of count one. */
  place(index: number): Rows {
    return this.voltages.one(index, this.doubts);
  }

  /** Current of one element, as rows of count one. */
  current(index: number): Rows {
    return this.amperes.one(index, this.doubts);
  }

  /** The rounding error of that voltage or current in doubles: to be added where little is left of large terms. */
  placeRest(index: number): Vector {
    return this.readings.placeRest(index, () => this.remainder);
  }

  currentRest(index: number): Vector {
    return this.readings.currentRest(index, () => this.remainder);
  }

  /** Rows of guards that are not among those of the combination. */
  rowsOf(guards: readonly PartGuard[]): Rows {
    return new RowTable(
      guards.map((g) => this.readings.guard(g, () => this.remainder)),
      this.nx,
      this.nu,
    );
  }

  /** The effect of charge or flux shared at an instant on each guard, by state (bound ones only); empty if there are none. */
  get impulses(): Float64Array {
    if (!this.blows) {
      const { nx, dependent, sizes, asked } = this;
      const bound = new Set(dependent.map(({ state }) => state));
      this.blows = new Float64Array(bound.size > 0 ? asked.length * nx : 0);
      for (const [g, guard] of bound.size > 0 ? asked.entries() : []) {
        // Levels are in the column of the constants, so a state's column is free of them.
        const { at, of } = this.readings.impulse(guard);
        for (let p = 0; p < at.length; p++)
          if (bound.has(at[p])) this.blows[g * nx + at[p]] = of[p] * sizes[at[p]];
      }
    }
    return this.blows;
  }

  /**
   * The effect at an instant of a change of each dependent state, in the order of `dependent`: charge through every element
   * (C per V, or per A), flux of every place against ground (Vs). Row after row, one column for each dependent state.
   */
  get sudden(): { readonly currents: Float64Array; readonly places: Float64Array } {
    if (!this.suddenly) {
      const { dependent, sizes, readings, elements } = this;
      const row = ({ at, of }: Vector) =>
        dependent.map(({ state }) => (at.includes(state) ? of[at.indexOf(state)] * sizes[state] : 0));
      const rows = (count: number, read: (i: number) => Vector) =>
        Float64Array.from(Array.from({ length: count }, (_, i) => row(read(i))).flat());
      this.suddenly = {
        currents: rows(elements.length, (i) => readings.impulseThrough(i)),
        places: rows(this.spots, (p) => readings.impulseAt(p)),
      };
    }
    return this.suddenly;
  }

  /**
   * Adds to each guard the effect of the charge and flux shared between two states: a current or a voltage without bound for
   * no time. Holds too for coils that share flux, where a jump of one current is not that of its own flux.
   * @param before x just before the sharing, with the sizes of this combination
   */
  blow(before: Float64Array, after: Float64Array, guards: Float64Array): void {
    if (this.dependent.length === 0) return;
    const { nx, dependent, sizes, impulses, motion } = this;
    for (const { state } of dependent) {
      const moved = motion.mass.moved(state, after, before) / sizes[state];
      for (let g = 0; g < guards.length; g++) guards[g] += impulses[g * nx + state] * moved;
    }
  }

  /** After a jump: x⁺ = X x⁻ + U u⁺. */
  get share(): { readonly X: Float64Array; readonly U: Float64Array } {
    this.sharing ??= this.shared();
    return this.sharing;
  }

  private shared() {
    const { nx, nu } = this;
    const [X, U] = [new Float64Array(nx * nx), new Float64Array(nx * nu)];
    for (let j = 0; j < nx + nu; j++) {
      const [x, u] = [new Float64Array(nx), new Float64Array(nu)];
      if (j < nx) x[j] = 1;
      else u[j - nx] = 1;
      this.reconcile(x, u);
      for (let k = 0; k < nx; k++) {
        if (j < nx) X[k * nx + j] = x[k];
        else U[k * nu + j - nx] = x[k];
      }
    }
    return { X, U };
  }

  /** Sets the dependent states from the free ones. */
  follow(x: Float64Array, u: Float64Array): void {
    for (const tie of this.dependent) x[tie.state] = tie.value(x, u);
  }

  /** The mass matrix of the states. */
  get mass(): Mass {
    return this.motion.mass;
  }

  /**
   * Gives the states the charge and flux that they had in another combination, where sizes may have differed.
   * @returns the energy that each state lost, J; undefined where no size differs
   */
  adopt(x: Float64Array, before: Condensed): Float64Array | undefined {
    const [mass, was] = [this.motion.mass, before.motion.mass];
    if (mass.like(was)) return undefined;
    const energies = x.map((_, k) => was.energy(k, x));
    this.motion.resize(x, was);
    return energies.map((energy, k) => {
      const left = mass.energy(k, x);
      // Where one size passes into the next nothing is lost but rounding.
      return Math.abs(energy - left) < 1e-12 * energy ? 0 : energy - left;
    });
  }

  /**
   * Makes the states fit this combination after a jump: charge and flux that no resistance can carry in no
   * time are shared by conservation. Changes x in place.
   * @returns the energy lost in the sharing, J: half the misfit times the charge (or flux) that corrects it
   */
  reconcile(x: Float64Array, u: Float64Array): number {
    if (this.dependent.length === 0) return 0;
    const was = x.slice();
    const misfits = Float64Array.from(this.dependent, (tie) => tie.value(x, u) - x[tie.state]);
    this.motion.share(misfits, x);
    this.follow(x, u);
    let lost = 0;
    for (const [i, { state }] of this.dependent.entries()) {
      // A misfit of rounding size does not count.
      if (Math.abs(misfits[i]) < 1e-12 * (Math.abs(was[state]) + Math.abs(x[state]))) continue;
      lost += 0.5 * misfits[i] * this.motion.mass.moved(state, x, was);
    }
    return lost;
  }
}
