// One combination of modes, condensed: from the factorised MNA matrix, the few small matrices that the march
// needs. Only capacitors and inductors remember anything, so with x their voltages and currents, u the levels of
// the sources (u[0] is always 1, for everything constant) and u' their slopes,
//
//     x' = A x + B u + D u'        any voltage or current = rows · (x, u, u')
//
// Dependent states: a capacitor in a loop of capacitors and held voltages, an inductor in a cut of inductors and
// pushed currents, follow the free states and the sources, y = T x + S u with whole numbers in T and S. With N
// their sizes (farads, henries), M those of the free states, and q = N y' the current of such a capacitor (the
// voltage of such an inductor), what the free states feel is −Tᵀ q, hence
//
//     (M + Tᵀ N T) x' = M (A₀ x + B₀ u) − Tᵀ N S u'
//
// and the same matrix shares charge and flux at a jump: (M + Tᵀ N T) x⁺ = M x⁻ + Tᵀ N (y⁻ − S u⁺).
import { Matrix } from "ml-matrix";
import type { Guard } from "../parts/contract.js";
import type { Element } from "./elements.js";
import { Nodal } from "./nodal.js";
import { type Drive, drivesOf, type ThinRows, thinRows } from "./rows.js";
import { type Entry, solve } from "./solve.js";
import { compress, type Sparse } from "./sparse.js";
import { type Dependence, topology } from "./topology.js";

/** Rows over (x, u, u'), flat: row i of X starts at i·nx, of U and D at i·nu. */
export interface Rows {
  readonly count: number;
  readonly X: Float64Array;
  readonly U: Float64Array;
  readonly D: Float64Array;
  /** X once more without its zeros, and the sources of each row, the constants apart: what rows are evaluated with. */
  readonly thin: ThinRows & { readonly from: Int32Array; readonly source: Int32Array };
}

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

/** A dependent state: y = T x + S u. */
interface Tie {
  readonly state: number;
  readonly T: Float64Array;
  readonly S: Float64Array;
}

/** The circuit in one combination of modes. */
export class Condensed {
  readonly nx: number;
  readonly A: Float64Array;
  readonly B: Float64Array;
  readonly D: Float64Array;
  /** A without its zeros, row by row: what rounding leaves of an entry counts. */
  readonly motions: ThinRows;
  /** A by columns without what rounding leaves, in a circuit large enough for that to pay. */
  readonly thin?: Sparse;
  /** Sources (1…) that move the states in this combination. */
  readonly active: readonly number[];
  /** What they add, without zeros. */
  readonly drives: readonly Drive[];
  /** Voltage of every place against ground; row 0 is ground. */
  readonly places: Rows;
  /** Current of every element, in the order of `elements`. */
  readonly currents: Rows;
  /** Guards with their levels and signs folded in: violated when positive. */
  readonly guards: Rows;
  readonly guardOf: readonly GuardRow[];
  /** What a charge or flux shared at an instant adds to each guard, state by state (bound ones only). */
  readonly impulses: Float64Array;
  /**
   * What a change of each state that follows others, in the order of `ties`, moves at an instant: charge through every
   * element (C a V, or a A), flux of every place against ground (Vs).
   */
  readonly sudden: { readonly currents: Float64Array; readonly places: Float64Array };
  /** Places whose voltage against ground is anything. */
  readonly floating: ReadonlySet<number>;
  /** The states that follow others. */
  readonly ties: readonly Tie[];
  /** After a jump: x⁺ = X x⁻ + U u⁺. */
  readonly share: { readonly X: Float64Array; readonly U: Float64Array };

  /**
   * @param places number of places, ground included
   * @param sizes farads and henries of the states
   * @param nu number of sources, plus one for the constants
   * @param thin keep and solve matrices without their zeros
   * @throws Fault where the elements have no solution
   */
  constructor(
    places: number,
    readonly sizes: Float64Array,
    readonly nu: number,
    readonly elements: readonly Element[],
    guards: readonly PartGuard[],
    thin: boolean,
  ) {
    const nx = sizes.length;
    this.nx = nx;
    const { pins, floating, dependent } = topology(places, elements);
    this.floating = floating;
    const bound = new Set(dependent.map((d) => d.state));
    const nodal = new Nodal(places, elements, pins, bound, nx, nu, thin);
    this.ties = dependent.map((d) => this.tie(d, nodal));
    const { A, B, D, X, U } = this.motion(nodal, bound, thin);
    this.A = A;
    this.B = B;
    this.D = D;
    this.share = { X, U };
    this.motions = thinRows(A, nx, nx);
    if (thin) this.thin = compress(nx, nonzero(A, nx));
    this.active = Array.from({ length: nu - 1 }, (_, i) => i + 1).filter((s) => {
      for (let k = 0; k < nx; k++) if (B[k * nu + s] !== 0 || D[k * nu + s] !== 0) return true;
      return false;
    });
    this.drives = drivesOf(this.active, B, D, nu);
    this.places = this.rows(bound, places, (i, column) => nodal.voltage(i, 0, column));
    this.currents = this.rows(bound, elements.length, (i, column) => nodal.current(elements[i]!, column));
    const moving = (count: number, at: (i: number, column: number) => number) =>
      Float64Array.from({ length: count * this.ties.length }, (_, k) => {
        const { state } = this.ties[k % this.ties.length]!;
        return at(Math.floor(k / this.ties.length), state) * sizes[state]!;
      });
    this.sudden = {
      currents: moving(elements.length, (i, column) => nodal.current(elements[i]!, column)),
      places: moving(places, (i, column) => nodal.voltage(i, 0, column)),
    };
    const columns = guardColumns(guards, elements, nodal);
    this.guards = this.rows(bound, guards.length, columns);
    // Levels stand in the column of the constants, so a state's column is free of them.
    this.impulses = new Float64Array(guards.length * nx);
    for (const k of bound) {
      for (let g = 0; g < guards.length; g++) this.impulses[g * nx + k] = columns(g, k) * sizes[k]!;
    }
    this.guardOf = guards.map(({ part, guard }) => ({
      part,
      to: guard.to,
      ofCurrent: "element" in guard.of,
      control: guard.control === true,
    }));
  }

  /** Sets the dependent states from the free ones. */
  follow(x: Float64Array, u: Float64Array): void {
    for (const tie of this.ties) x[tie.state] = this.followed(tie, x, u);
  }

  /**
   * Makes the states fit this combination after a jump: charge and flux that no resistance can carry in no
   * time are shared as conservation asks. Changes x in place.
   * @returns the energy lost in it, J: half the misfit times the charge (or flux) that mends it
   */
  reconcile(x: Float64Array, u: Float64Array): number {
    if (this.ties.length === 0) return 0;
    const { nx, nu } = this;
    const { X, U } = this.share;
    const after = new Float64Array(nx);
    for (let k = 0; k < nx; k++) {
      let sum = 0;
      for (let j = 0; j < nx; j++) sum += X[k * nx + j]! * x[j]!;
      for (let j = 0; j < nu; j++) sum += U[k * nu + j]! * u[j]!;
      after[k] = sum;
    }
    let lost = 0;
    for (const tie of this.ties) {
      const [was, is] = [x[tie.state]!, after[tie.state]!];
      const misfit = this.followed(tie, x, u) - was;
      // A misfit of rounding size is none.
      if (Math.abs(misfit) < 1e-12 * (Math.abs(was) + Math.abs(is))) continue;
      lost += 0.5 * misfit * this.sizes[tie.state]! * (is - was);
    }
    x.set(after);
    return lost;
  }

  private followed({ T, S }: Tie, x: Float64Array, u: Float64Array): number {
    let sum = 0;
    for (let j = 0; j < T.length; j++) if (T[j] !== 0) sum += T[j]! * x[j]!;
    for (let j = 0; j < S.length; j++) if (S[j] !== 0) sum += S[j]! * u[j]!;
    return sum;
  }

  private tie({ state, states, levels }: Dependence, nodal: Nodal): Tie {
    const T = new Float64Array(this.nx);
    const S = new Float64Array(this.nu);
    for (const s of states) T[s.state]! += s.factor;
    for (const { level, factor } of levels) {
      const [column, value] = nodal.columnOf(level);
      S[column - this.nx]! += factor * value;
    }
    return { state, T, S };
  }

  /** A, B, D of the motion, and X, U of the sharing. */
  private motion(nodal: Nodal, bound: ReadonlySet<number>, thin: boolean) {
    const { nx, nu, sizes, ties, elements } = this;
    const free = elements.filter((e) => e.state >= 0 && !bound.has(e.state));
    // Columns of the right-hand side: A (nx) | B (nu) | D (nu) | X (nx) | U (nu).
    const [toB, toD, toX, toU] = [nx, nx + nu, nx + 2 * nu, 2 * nx + 2 * nu];
    const W: Entry[] = ties.map(({ state }) => [state, state, 1]);
    const right = Matrix.zeros(nx, 2 * nx + 3 * nu);
    for (const e of free) {
      const k = e.state;
      // M x' of a free state: the current of a capacitor, the voltage of an inductor.
      const drive = (column: number) =>
        e.type === "capacitor" ? nodal.current(e, column) : nodal.voltage(e.a, e.b, column);
      W.push([k, k, sizes[k]!]);
      for (let j = 0; j < nx; j++) if (!bound.has(j)) right.set(k, j, drive(j));
      for (let j = 0; j < nu; j++) right.set(k, toB + j, drive(nx + j));
      right.set(k, toX + k, sizes[k]!);
      for (const { state, T, S } of ties) {
        const pull = T[k]! * sizes[state]!;
        if (pull === 0) continue;
        for (let l = 0; l < nx; l++) if (T[l] !== 0) W.push([k, l, pull * T[l]!]);
        for (let j = 0; j < nu; j++) {
          right.set(k, toD + j, right.get(k, toD + j) - pull * S[j]!);
          right.set(k, toU + j, right.get(k, toU + j) - pull * S[j]!);
        }
        right.set(k, toX + state, right.get(k, toX + state) + pull);
      }
    }
    const answer = ties.length > 0 ? solve(W, right, thin, () => elements) : dividedBy(right, sizes);
    for (const { state, T, S } of ties) {
      for (let j = 0; j < answer.columns; j++) {
        let sum = 0;
        for (let l = 0; l < nx; l++) if (T[l] !== 0) sum += T[l]! * answer.get(l, j);
        answer.set(state, j, sum);
      }
      for (let j = 0; j < nu; j++) {
        answer.set(state, toD + j, answer.get(state, toD + j) + S[j]!);
        answer.set(state, toU + j, answer.get(state, toU + j) + S[j]!);
      }
    }
    // Constants have no slope.
    for (let k = 0; k < nx; k++) answer.set(k, toD, 0);
    const block = (from: number, width: number) => {
      const out = new Float64Array(nx * width);
      for (let k = 0; k < nx; k++)
        for (let j = 0; j < width; j++) out[k * width + j] = answer.get(k, from + j);
      return out;
    };
    return { A: block(0, nx), B: block(toB, nu), D: block(toD, nu), X: block(toX, nx), U: block(toU, nu) };
  }

  /** Rows over (x, u, u') from columns over (x or q, u): q = N y' is put back in. */
  private rows(bound: ReadonlySet<number>, count: number, at: (i: number, column: number) => number): Rows {
    const { nx, nu, sizes } = this;
    const X = new Float64Array(count * nx);
    const U = new Float64Array(count * nu);
    const D = new Float64Array(count * nu);
    for (let i = 0; i < count; i++) {
      for (let j = 0; j < nx; j++) if (!bound.has(j)) X[i * nx + j] = at(i, j);
      for (let j = 0; j < nu; j++) U[i * nu + j] = at(i, nx + j);
      for (const k of bound) {
        const q = at(i, k) * sizes[k]!;
        if (q === 0) continue;
        for (let j = 0; j < nx; j++) X[i * nx + j]! += q * this.A[k * nx + j]!;
        for (let j = 0; j < nu; j++) {
          U[i * nu + j]! += q * this.B[k * nu + j]!;
          D[i * nu + j]! += q * this.D[k * nu + j]!;
        }
      }
    }
    return { count, X, U, D, thin: { ...thinRows(X, count, nx), ...sourcesOf(count, U, D, nu) } };
  }
}

/** What a guard is made of, column by column: positive when violated. */
function guardColumns(guards: readonly PartGuard[], elements: readonly Element[], nodal: Nodal) {
  const watched = guards.map(({ part, guard }) => {
    const { of } = guard;
    const own = "element" in of ? elements.filter((e) => e.part === part)[of.element]! : undefined;
    const read = (column: number) =>
      "element" in of ? nodal.current(own!, column) : nodal.voltage(of.a, of.b, column);
    return { sign: guard.side === "above" ? 1 : -1, level: guard.level, read };
  });
  return (i: number, column: number) => {
    const { sign, level, read } = watched[i]!;
    return sign * (read(column) - (column === nodal.nx ? level : 0));
  };
}

/** A share of the largest entry of a row below which an entry is the rounding of a zero. */
const speck = 1e-15;

function* nonzero(A: Float64Array, n: number): Generator<Entry> {
  for (let i = 0; i < n; i++) {
    const row = A.subarray(i * n, (i + 1) * n);
    const least = row.reduce((most, a) => Math.max(most, Math.abs(a)), 0) * speck;
    for (let j = 0; j < n; j++) if (i === j || Math.abs(row[j]!) > least) yield [i, j, row[j]!];
  }
}

/** The sources that have a share in each row, the constant one apart. */
function sourcesOf(
  count: number,
  U: Float64Array,
  D: Float64Array,
  nu: number,
): { from: Int32Array; source: Int32Array } {
  const from = new Int32Array(count + 1);
  const source: number[] = [];
  for (let i = 0; i < count; i++) {
    for (let j = 1; j < nu; j++) if (U[i * nu + j] !== 0 || D[i * nu + j] !== 0) source.push(j);
    from[i + 1] = source.length;
  }
  return { from, source: Int32Array.from(source) };
}

function dividedBy(right: Matrix, sizes: Float64Array): Matrix {
  const answer = right.clone();
  // Divided, not multiplied by the reciprocal: 1 mA into 1 µF is 1000 V/s to the last bit.
  for (let k = 0; k < sizes.length; k++) {
    for (let j = 0; j < right.columns; j++) answer.set(k, j, right.get(k, j) / sizes[k]!);
  }
  return answer;
}
