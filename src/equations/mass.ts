// The mass matrix of the states, and how they share charge and flux. A capacitor's current is C v', an inductor's voltage L i',
// plus M i' of each coil coupled to it: together M z' = h, with z all states. Dependent states follow, y = T x + S u,
// and the free ones feel h = h₀ + G q of them, with q = (M z')_y. With R = M_x − G M_y (rows of free states, columns of all
// of them),
//
//     R z' = h₀    and    (R_x + R_y T) x' = h₀ − R_y S u'
//
// and since a jump only moves charge and flux about, R z⁺ = R z⁻:
//
//     x⁺ = x⁻ − (R_x + R_y T)⁻¹ R_y (T x⁻ + S u⁺ − y⁻)
//
// A state unrelated to dependent ones and to other coils is only divided by its size, which keeps its bits; the rest is
// solved group by group.
import { DisjointSets } from "../base/graph.js";
import type { DependentState } from "./dependent.js";
import type { Coupling, Element } from "./elements.js";
import type { SparseLu } from "./lu.js";
import { factorsOf, solveColumns } from "./solve.js";
import type { Entry } from "./sparsecolumns.js";
import { Sum, type Vector } from "./vector.js";

/** Free states that are solved together, with the factors of their matrix. */
interface Group {
  readonly states: readonly number[];
  readonly lu: SparseLu;
}

/** Farads and henries of one combination of modes: M, and the charge and flux at rest. */
export class Mass {
  readonly sizes: Float64Array;
  /** Charge of a capacitor at zero volts, flux of a coil at zero current. */
  readonly rest: Float64Array;
  /** Energy there, J. */
  private readonly base: Float64Array;
  /** Row by row, the state's own size first. */
  readonly rows: readonly (readonly (readonly [state: number, size: number])[])[];
  readonly coupled: boolean;

  constructor(nx: number, elements: readonly Element[], couplings: readonly Coupling[]) {
    this.sizes = new Float64Array(nx);
    this.rest = new Float64Array(nx);
    this.base = new Float64Array(nx);
    this.coupled = couplings.length > 0;
    for (const e of elements) {
      if (e.state < 0) continue;
      this.sizes[e.state] = e.size;
      this.rest[e.state] = e.rest;
      this.base[e.state] = e.energy;
    }
    const rows = Array.from(this.sizes, (size, k) => [[k, size] as [number, number]]);
    for (const { one, other, henries } of couplings) {
      rows[one].push([other, henries]);
      rows[other].push([one, henries]);
    }
    this.rows = rows;
  }

  /** Charge or flux of a state. */
  held(state: number, z: Float64Array): number {
    let sum = this.rest[state];
    for (const [j, size] of this.rows[state]) sum += size * z[j];
    return sum;
  }

  /** The change of charge or flux of a state between two states of the circuit. */
  moved(state: number, z: Float64Array, before: Float64Array): number {
    let sum = 0;
    for (const [j, size] of this.rows[state]) sum += size * (z[j] - before[j]);
    return sum;
  }

  /** Energy that a state gains between two states of the circuit, J: the change of its charge or flux times its mean value. */
  gained(state: number, z: Float64Array, before: Float64Array): number {
    return 0.5 * this.moved(state, z, before) * (z[state] + before[state]);
  }

  /** Energy of a state, J. */
  energy(state: number, z: Float64Array): number {
    return this.base[state] + 0.5 * (this.held(state, z) - this.rest[state]) * z[state];
  }

  /** Whether charges and fluxes depend on the states as in another combination. */
  like(other: Mass): boolean {
    if (this === other) return true;
    if (!this.coupled && !other.coupled)
      return this.sizes.every((s, k) => s === other.sizes[k] && this.rest[k] === other.rest[k]);
    return this.rows.every((row, k) => {
      const twin = other.rows[k];
      if (row.length !== twin.length || this.rest[k] !== other.rest[k]) return false;
      return row.every(([j, size], p) => twin[p][0] === j && twin[p][1] === size);
    });
  }
}

/** How the free states move. */
export class MassEquation {
  private readonly groups: readonly Group[];
  private readonly grouped: ReadonlySet<number>;
  /** Columns of dependent states in R, for the free states that have any. */
  private readonly pulls = new Map<number, readonly (readonly [tie: number, weight: number])[]>();
  private readonly weight: Float64Array;
  private readonly sum: Sum;

  /**
   * @param feels what moves each free state: h₀ over x | u, with G in the columns of dependent states
   * @throws what `fault` gives for states that cannot be told apart
   */
  constructor(
    readonly mass: Mass,
    readonly ties: readonly DependentState[],
    private readonly nu: number,
    private readonly feels: ReadonlyMap<number, Vector>,
    private readonly fault: (states: readonly number[]) => Error,
  ) {
    const nx = mass.sizes.length;
    this.sum = new Sum(nx + 2 * nu);
    this.weight = mass.sizes.slice();
    const tieOf = new Map(ties.map(({ state }, i) => [state, i]));
    const sets = new DisjointSets(nx);
    const entries: Entry[][] = [];
    if (ties.length > 0 || mass.coupled) {
      for (const [k, h] of feels) {
        const R = this.reduced(k, h, tieOf);
        for (let p = 0; p < R.at.length; p++) {
          const tie = tieOf.get(R.at[p]);
          if (tie !== undefined) this.pulls.set(k, [...(this.pulls.get(k) ?? []), [tie, R.of[p]]]);
        }
        const own = this.freed(R, tieOf);
        entries[k] = own.at.map((l, p): Entry => [k, l, own.of[p]]);
        for (const l of own.at) sets.join(k, l);
      }
    }
    this.groups = this.factorise([...feels.keys()], sets, entries);
    this.grouped = new Set(this.groups.flatMap(({ states }) => states));
  }

  /** x' of every state, over x | u | u'. */
  slopes(): Vector[] {
    const { mass, ties, feels, sum, weight } = this;
    const nx = mass.sizes.length;
    const out: Vector[] = new Array(nx);
    const bound = new Set(ties.map(({ state }) => state));
    const free = (k: number, h: Vector) => {
      for (let p = 0; p < h.at.length; p++) if (!bound.has(h.at[p])) sum.put(h.at[p], h.of[p]);
      for (const [tie, pull] of this.pulls.get(k) ?? []) this.addSlope(ties[tie].row, -pull);
      return sum.take();
    };
    const { grouped } = this;
    for (const [k, h] of feels) {
      if (grouped.has(k)) continue;
      const { at, of } = free(k, h);
      // Divided, not multiplied by the reciprocal: 1 mA into 1 µF is 1000 V/s to the last bit.
      out[k] = { at, of: of.map((value) => value / weight[k]) };
    }
    for (const { states, lu } of this.groups) {
      const right = states.map((k) => free(k, feels.get(k)!));
      const answers = solveColumns(right, sum, (b) => lu.solveRefined(b));
      for (const [i, k] of states.entries()) out[k] = answers[i];
    }
    for (const { state, row } of ties) {
      for (let p = 0; p < row.at.length; p++) if (row.at[p] < nx) sum.add(out[row.at[p]], row.of[p]);
      this.addSlope(row, 1);
      out[state] = sum.take();
    }
    return out;
  }

  /** By free state: the states whose h make up its slope, with their factors. */
  spread(): Map<number, (readonly [of: number, factor: number])[]> {
    const out = new Map<number, (readonly [number, number])[]>();
    for (const k of this.feels.keys()) out.set(k, [[k, 1 / this.weight[k]]]);
    for (const { states, lu } of this.groups) {
      for (const k of states) out.set(k, []);
      for (const [i, member] of states.entries()) {
        const column = new Float64Array(states.length);
        column[i] = 1;
        lu.solveRefined(column);
        for (const [j, k] of states.entries()) out.get(k)!.push([member, column[j]]);
      }
    }
    return out;
  }

  /** Moves the free states by the sharing of misfits, one for each tie; dependent states are not touched. */
  share(misfits: Float64Array, x: Float64Array): void {
    const change = (k: number) => {
      let sum = 0;
      for (const [tie, pull] of this.pulls.get(k) ?? []) sum += pull * misfits[tie];
      return sum;
    };
    for (const k of this.pulls.keys()) if (!this.grouped.has(k)) x[k] -= change(k) / this.weight[k];
    for (const { states, lu } of this.groups) {
      const b = Float64Array.from(states, change);
      if (b.every((value) => value === 0)) continue;
      lu.solveRefined(b);
      for (const [i, k] of states.entries()) x[k] -= b[i];
    }
  }

  /** Recomputes the states for the sizes here; each keeps the charge or flux that it had with the sizes before. */
  resize(x: Float64Array, before: Mass): void {
    const { mass, fault } = this;
    if (mass.like(before)) return;
    const held = x.map((_, k) => before.held(k, x) - mass.rest[k]);
    const sets = new DisjointSets(x.length);
    for (const [k, row] of mass.rows.entries()) for (const [j] of row) sets.join(k, j);
    for (const states of sets.groups()) {
      if (states.length === 1) {
        const [k] = states;
        // An unchanged state keeps its bits.
        const same = before.rows[k].length === 1 && mass.sizes[k] === before.sizes[k];
        if (!same || mass.rest[k] !== before.rest[k]) x[k] = held[k] / mass.sizes[k];
        continue;
      }
      const at = new Map(states.map((k, i) => [k, i]));
      const entries = states.flatMap((k, i) => mass.rows[k].map(([j, size]): Entry => [i, at.get(j)!, size]));
      const b = Float64Array.from(states, (k) => held[k]);
      factorsOf(states.length, entries, () => fault(states)).solveRefined(b);
      for (const [i, k] of states.entries()) x[k] = b[i];
    }
  }

  /** Adds S u' of a dependent state; constants have no slope. */
  private addSlope({ at, of }: Vector, factor: number): void {
    const nx = this.mass.sizes.length;
    for (let p = 0; p < at.length; p++) if (at[p] > nx) this.sum.put(at[p] + this.nu, factor * of[p]);
  }

  /** Row k of R over all states. */
  private reduced(k: number, { at, of }: Vector, tieOf: ReadonlyMap<number, number>): Vector {
    const { mass, sum } = this;
    for (const [j, size] of mass.rows[k]) sum.put(j, size);
    for (let p = 0; p < at.length; p++) {
      if (!tieOf.has(at[p])) continue;
      for (const [j, size] of mass.rows[at[p]]) sum.put(j, -of[p] * size);
    }
    return sum.take();
  }

  /** Row k of R_x + R_y T. */
  private freed({ at, of }: Vector, tieOf: ReadonlyMap<number, number>): Vector {
    const nx = this.mass.sizes.length;
    const { sum } = this;
    for (let p = 0; p < at.length; p++) {
      const tie = tieOf.get(at[p]);
      if (tie === undefined) sum.put(at[p], of[p]);
      else {
        const { row } = this.ties[tie];
        for (let q = 0; q < row.at.length; q++) if (row.at[q] < nx) sum.put(row.at[q], of[p] * row.of[q]);
      }
    }
    return sum.take();
  }

  private factorise(free: readonly number[], sets: DisjointSets, entries: readonly Entry[][]): Group[] {
    const groups: Group[] = [];
    const isFree = new Set(free);
    for (const all of sets.groups()) {
      const states = all.filter((k) => isFree.has(k));
      if (states.length === 0) continue;
      if (states.length === 1) {
        const [k] = states;
        const own = entries[k]?.find(([, l]) => l === k);
        if (own) this.weight[k] = own[2];
        if (!(Math.abs(this.weight[k]) > 0)) throw this.fault(states);
        continue;
      }
      const at = new Map(states.map((k, i) => [k, i]));
      const own = states.flatMap((k) =>
        entries[k].map(([, l, value]): Entry => [at.get(k)!, at.get(l)!, value]),
      );
      groups.push({ states, lu: factorsOf(states.length, own, () => this.fault(states)) });
    }
    return groups;
  }
}
