// One combination of modes, condensed: from the factorised MNA matrix (ml-matrix), the few small matrices that
// the march needs. Only capacitors and inductors remember anything, so with x their voltages and currents, u
// the levels of the sources (u[0] is always 1, for everything constant) and u' their slopes,
//
//     x' = A x + B u + D u'        any voltage or current = rows · (x, u, u')
//
// Notation: C, L in M (diagonal, free states) and N (diagonal, dependent states); a dependent state is
// y = T x + S u with whole numbers in T and S; q are the currents of dependent capacitors and the voltages of
// dependent inductors. Capacitors stand in the MNA matrix as held voltages and inductors as pushed currents, so
// the matrix does not depend on the step size: nothing is lost when a step is as short as a rounding error.
import { LuDecomposition, Matrix } from "ml-matrix";
import type { Guard, Level } from "../parts/contract.js";
import type { Element } from "./elements.js";
import { Fault, topology } from "./topology.js";

/** Rows over (x, u, u'), flat: row i of X starts at i·nx, of U and D at i·nu. */
export interface Rows {
  readonly count: number;
  readonly X: Float64Array;
  readonly U: Float64Array;
  readonly D: Float64Array;
}

/** A guard as a row: it is violated when sign · (row − level) > 0. */
export interface GuardRow {
  readonly part: number;
  readonly to: number;
  readonly ofCurrent: boolean;
}

/** What a mode's guards ask for. */
export interface PartGuard {
  readonly part: number;
  readonly guard: Guard;
}

/** The circuit in one combination of modes. */
export class Condensed {
  readonly nx: number;
  readonly nu: number;
  readonly A: Float64Array;
  readonly B: Float64Array;
  readonly D: Float64Array;
  /** Sources (1…) that move the states in this combination. */
  readonly active: readonly number[];
  /** Voltage of every place against ground; row 0 is ground. */
  readonly places: Rows;
  /** Current of every element, in the order of `elements`. */
  readonly currents: Rows;
  /** Guards with their levels and signs folded in: violated when positive. */
  readonly guards: Rows;
  readonly guardOf: readonly GuardRow[];
  /** True when some state depends on others, so that a jump may move charge or flux. */
  readonly bound: boolean;
  /** The states that depend on others: y = T x + S u. */
  readonly dependents: readonly { readonly state: number; readonly T: Float64Array; readonly S: Float64Array }[];
  private readonly project: { readonly X: Float64Array; readonly U: Float64Array } | undefined;

  /**
   * @param places number of places, ground included
   * @param nu number of sources, plus one for the constants
   * @throws Fault where the elements have no solution
   */
  constructor(
    places: number,
    readonly sizes: Float64Array,
    nu: number,
    readonly elements: readonly Element[],
    guards: readonly PartGuard[],
  ) {
    const nx = sizes.length;
    this.nx = nx;
    this.nu = nu;
    const { pins, dependent } = topology(places, elements);
    const bound = new Set(dependent.map((d) => d.state));
    this.bound = dependent.length > 0;

    // The MNA matrix: place voltages, then the currents of everything that is held.
    const nodes = places - 1;
    const held = elements.filter((e) => isHeld(e, bound));
    const size = nodes + held.length + pins.length;
    const matrix = Matrix.zeros(Math.max(size, 1), Math.max(size, 1));
    const rhs = Matrix.zeros(Math.max(size, 1), nx + nu);
    const stampAt = (row: number, column: number, value: number) => {
      if (row >= 0 && column >= 0) matrix.set(row, column, matrix.get(row, column) + value);
    };
    const feed = (row: number, column: number, value: number) => {
      if (row >= 0) rhs.set(row, column, rhs.get(row, column) + value);
    };
    const columnOf = (level: Level): [number, number] =>
      typeof level === "number" ? [nx, level] : [nx + level.source, 1];
    const branchOf = new Map<Element, number>();
    for (const e of elements) {
      const a = e.a - 1;
      const b = e.b - 1;
      if (e.type === "resistor") {
        const g = 1 / e.size;
        stampAt(a, a, g);
        stampAt(b, b, g);
        stampAt(a, b, -g);
        stampAt(b, a, -g);
      } else if (isHeld(e, bound)) {
        const branch = nodes + branchOf.size;
        branchOf.set(e, branch);
        stampAt(a, branch, 1);
        stampAt(b, branch, -1);
        stampAt(branch, a, 1);
        stampAt(branch, b, -1);
        if (e.type === "hold") {
          stampAt(branch, branch, -e.size);
          const [column, value] = columnOf(e.level);
          feed(branch, column, value);
        } else feed(branch, e.state, 1);
      } else {
        const [column, value] = e.type === "push" ? columnOf(e.level) : [e.state, 1];
        feed(a, column, -value);
        feed(b, column, value);
      }
    }
    pins.forEach((place, i) => {
      const branch = nodes + held.length + i;
      stampAt(place - 1, branch, 1);
      stampAt(branch, place - 1, 1);
    });
    const Z = size === 0 ? rhs : solve(matrix, rhs, elements);

    // Rows of the answer, first over (x or q, u).
    const voltage = (a: number, b: number, column: number) =>
      (a > 0 ? Z.get(a - 1, column) : 0) - (b > 0 ? Z.get(b - 1, column) : 0);
    const current = (e: Element, column: number): number => {
      const branch = branchOf.get(e);
      if (branch !== undefined) return Z.get(branch, column);
      if (e.type === "resistor") return voltage(e.a, e.b, column) / e.size;
      if (e.type === "push") {
        const [at, value] = columnOf(e.level);
        return at === column ? value : 0;
      }
      return e.state === column ? 1 : 0;
    };

    // Dependent states and what they follow.
    const T = Matrix.zeros(Math.max(nx, 1), Math.max(nx, 1));
    const S = Matrix.zeros(Math.max(nx, 1), nu);
    for (const d of dependent) {
      for (const { state, factor } of d.states) T.set(d.state, state, T.get(d.state, state) + factor);
      for (const { level, factor } of d.levels) {
        const [column, value] = columnOf(level);
        S.set(d.state, column - nx, S.get(d.state, column - nx) + factor * value);
      }
    }
    // Free rows: M x' = c (currents of capacitors, voltages of inductors) − Tᵀ q.
    const free = elements.filter((e) => e.state >= 0 && !bound.has(e.state));
    const raw = (e: Element, column: number) =>
      e.type === "capacitor" ? current(e, column) : voltage(e.a, e.b, column);
    this.A = new Float64Array(nx * nx);
    this.B = new Float64Array(nx * nu);
    this.D = new Float64Array(nx * nu);
    const isFree = (k: number) => !bound.has(k);
    if (!this.bound) {
      for (const e of free) {
        for (let j = 0; j < nx; j++) this.A[e.state * nx + j] = raw(e, j) / e.size;
        for (let j = 0; j < nu; j++) this.B[e.state * nu + j] = raw(e, nx + j) / e.size;
      }
      this.project = undefined;
    } else {
      const W = Matrix.zeros(nx, nx);
      const right = Matrix.zeros(nx, nx + nu + nu + nx + nu); // A | B | D | projection X | U
      const NT = (i: number, k: number) => sizes[i]! * T.get(i, k);
      for (let k = 0; k < nx; k++) {
        if (!isFree(k)) {
          W.set(k, k, 1);
          continue;
        }
        for (let l = 0; l < nx; l++) {
          let sum = k === l ? sizes[k]! : 0;
          for (const i of bound) sum += T.get(i, k) * NT(i, l);
          W.set(k, l, sum);
        }
        const e = free.find((f) => f.state === k)!;
        for (let j = 0; j < nx; j++) if (isFree(j)) right.set(k, j, raw(e, j));
        for (let j = 0; j < nu; j++) {
          right.set(k, nx + j, raw(e, nx + j));
          let follow = 0;
          for (const i of bound) follow -= T.get(i, k) * sizes[i]! * S.get(i, j);
          right.set(k, nx + nu + j, follow);
          right.set(k, nx + nu + nu + nx + j, follow);
        }
        right.set(k, nx + 2 * nu + k, sizes[k]!);
        for (const i of bound) right.set(k, nx + 2 * nu + i, NT(i, k));
      }
      const answer = solve(W, right, elements);
      // Dependent rows follow the free ones: y = T x + S u.
      for (const i of bound) {
        for (let j = 0; j < answer.columns; j++) {
          let sum = 0;
          for (let k = 0; k < nx; k++) if (isFree(k)) sum += T.get(i, k) * answer.get(k, j);
          answer.set(i, j, sum);
        }
        for (let j = 0; j < nu; j++) {
          answer.set(i, nx + nu + j, answer.get(i, nx + nu + j) + S.get(i, j));
          const at = nx + 2 * nu + nx + j;
          answer.set(i, at, answer.get(i, at) + S.get(i, j));
        }
      }
      const block = (from: number, width: number) => {
        const out = new Float64Array(nx * width);
        for (let k = 0; k < nx; k++) for (let j = 0; j < width; j++) out[k * width + j] = answer.get(k, from + j);
        return out;
      };
      this.A = block(0, nx);
      this.B = block(nx, nu);
      this.D = block(nx + nu, nu);
      this.project = { X: block(nx + 2 * nu, nx), U: block(nx + 2 * nu + nx, nu) };
    }
    this.dependents = [...bound].map((state) => ({
      state,
      T: Float64Array.from(T.getRow(state)),
      S: Float64Array.from(S.getRow(state)),
    }));
    for (let k = 0; k < nx; k++) this.D[k * nu] = 0; // constants have no slope
    this.active = Array.from({ length: nu - 1 }, (_, i) => i + 1).filter((s) => {
      for (let k = 0; k < nx; k++) if (this.B[k * nu + s] !== 0 || this.D[k * nu + s] !== 0) return true;
      return false;
    });

    // Every voltage and current over (x, u, u'): a dependent state's own column is the answer to its q, and
    // q = N y', so y' = (row of A) x + ... puts it back.
    const rows = (count: number, at: (i: number, column: number) => number): Rows => {
      const X = new Float64Array(count * nx);
      const U = new Float64Array(count * nu);
      const D = new Float64Array(count * nu);
      for (let i = 0; i < count; i++) {
        for (let j = 0; j < nx; j++) if (isFree(j)) X[i * nx + j] = at(i, j);
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
      return { count, X, U, D };
    };
    this.places = rows(places, (i, column) => voltage(i, 0, column));
    this.currents = rows(elements.length, (i, column) => current(elements[i]!, column));
    const watched = guards.map(({ part, guard }) => ({
      sign: guard.side === "above" ? 1 : -1,
      guard,
      own: "element" in guard.of ? elements.filter((e) => e.part === part)[guard.of.element]! : undefined,
    }));
    this.guards = rows(guards.length, (i, column) => {
      const { sign, guard, own } = watched[i]!;
      const value = "element" in guard.of ? current(own!, column) : voltage(guard.of.a, guard.of.b, column);
      return sign * (value - (column === nx ? guard.level : 0));
    });
    this.guardOf = guards.map(({ part, guard }) => ({ part, to: guard.to, ofCurrent: "element" in guard.of }));
  }

  /** Sets the dependent states from the free ones. */
  follow(x: Float64Array, u: Float64Array): void {
    for (const { state, T, S } of this.dependents) {
      let sum = 0;
      for (let j = 0; j < this.nx; j++) if (T[j] !== 0) sum += T[j]! * x[j]!;
      for (let j = 0; j < this.nu; j++) if (S[j] !== 0) sum += S[j]! * u[j]!;
      x[state] = sum;
    }
  }

  /**
   * Makes the states fit this combination after a jump: charge and flux that no resistance can carry in no
   * time are shared as conservation asks. Changes x in place.
   * @returns the energy lost in it, J: half the misfit times the charge (or flux) that mends it
   */
  reconcile(x: Float64Array, u: Float64Array): number {
    if (!this.project) return 0;
    const { nx, nu } = this;
    const { X, U } = this.project;
    const next = new Float64Array(nx);
    for (let k = 0; k < nx; k++) {
      let sum = 0;
      for (let j = 0; j < nx; j++) sum += X[k * nx + j]! * x[j]!;
      for (let j = 0; j < nu; j++) sum += U[k * nu + j]! * u[j]!;
      next[k] = sum;
    }
    let lost = 0;
    for (const { state, T, S } of this.dependents) {
      let misfit = -x[state]!;
      for (let j = 0; j < nx; j++) misfit += T[j]! * x[j]!;
      for (let j = 0; j < nu; j++) misfit += S[j]! * u[j]!;
      // A misfit of rounding size is none.
      if (Math.abs(misfit) < 1e-12 * (Math.abs(x[state]!) + Math.abs(next[state]!))) continue;
      lost += 0.5 * misfit * this.sizes[state]! * (next[state]! - x[state]!);
    }
    x.set(next);
    return lost;
  }
}

function isHeld(e: Element, bound: ReadonlySet<number>): boolean {
  if (e.type === "hold") return true;
  return (e.type === "capacitor" && !bound.has(e.state)) || (e.type === "inductor" && bound.has(e.state));
}

/** Solves with one step of refinement. @throws Fault when the answer is not finite. */
function solve(matrix: Matrix, rhs: Matrix, elements: readonly Element[]): Matrix {
  const lu = new LuDecomposition(matrix);
  if (lu.isSingular()) throw new Fault("ill-conditioned", [...new Set(elements.map((e) => e.part))]);
  const first = lu.solve(rhs);
  const rest = Matrix.sub(rhs, matrix.mmul(first));
  const answer = Matrix.add(first, lu.solve(rest));
  for (let i = 0; i < answer.rows; i++) {
    for (let j = 0; j < answer.columns; j++) {
      if (!Number.isFinite(answer.get(i, j))) {
        throw new Fault("ill-conditioned", [...new Set(elements.map((e) => e.part))]);
      }
    }
  }
  return answer;
}
