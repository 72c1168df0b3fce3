// The state that a run starts from: at rest (every state zero, or its part's initial value), or the steady state for the
// signals' values just after time zero. The steady state is one backward-Euler step of ages from rest, taken twice: what
// can settle settles, and what is driven without end runs away, which either flips a mode (a diode catches the ramp) or is
// reported. Charge and flux that cannot settle stay as they were: so long a step would lose them in rounding, so each is
// held by a term of its own, −rate · e (w·x − kept), with w its weights and e the states that share it.
import { LuDecomposition, Matrix } from "ml-matrix";
import type { Condensed } from "../equations/condense.js";
import { SparseLu } from "../equations/lu.js";
import { compress, type Entry, Singular } from "../equations/sparsecolumns.js";
import type { Combination, State } from "../equations/system.js";
import { conserved } from "./conserved.js";
import { expected } from "./rounding.js";

/** Thrown for states that nothing stops and that have no steady value. */
export class Runaway extends Error {
  override readonly name = "Runaway";
  /** @param parts the parts whose states run away */
  constructor(readonly parts: readonly number[]) {
    super("no steady state");
  }
}

/** States before anything has happened: the initial values of the parts, else zero. */
export function restState(states: readonly State[]): Float64Array {
  return Float64Array.from(states, (s) => s.initial ?? 0);
}

/**
 * Steady state of one combination for fixed levels u; initial values are kept.
 * @param ages a time much longer than every time constant, s
 * @throws Runaway where nothing determines the states
 */
export function steadyState(
  eq: Condensed,
  states: readonly State[],
  u: Float64Array,
  ages: number,
): Float64Array {
  const { nx } = eq;
  const x = restState(states);
  if (nx === 0) return x;
  const fixed = fixedStates(eq, states);
  const drive = driven(eq, u);
  const entries: Entry[] = [];
  const { start, column, value } = eq.rowsOfA;
  for (let i = 0; i < nx; i++) {
    entries.push([i, i, 1]);
    if (fixed[i]) continue;
    for (let p = start[i]; p < start[i + 1]; p++) entries.push([i, column[p], -ages * value[p]]);
  }
  for (const { weights, shares, kept } of holds(eq, states, u, ages)) {
    const rate = slowest(eq, shares);
    for (let i = 0; i < nx; i++) {
      if (fixed[i] || shares[i] === 0) continue;
      for (let j = 0; j < nx; j++)
        if (weights[j] !== 0) entries.push([i, j, ages * rate * shares[i] * weights[j]]);
      drive[i] += rate * shares[i] * kept;
    }
  }
  const solve = (eq.columnsOfA && sparsely(nx, entries)) ?? densely(nx, entries);
  if (!solve) throw new Runaway(states.flatMap((s, i) => (fixed[i] ? [] : [s.part])));
  for (let pass = 0; pass < 2; pass++) {
    for (let i = 0; i < nx; i++) if (!fixed[i]) x[i] = x[i] + ages * drive[i];
    solve(x);
    // Initial values are kept to the bit, whatever the rounding of neighbours does to their rows.
    for (let i = 0; i < nx; i++) x[i] = states[i].initial ?? x[i];
  }
  eq.follow(x, u);
  // Dependent states with initial values share what they hold, as at a jump.
  const given = eq.dependent.filter(({ state }) => states[state].initial !== undefined);
  for (const { state } of given) x[state] = states[state].initial!;
  if (given.length > 0) eq.reconcile(x, u);
  return x;
}

/** Solves in place by sparse factors; undefined where these find the matrix singular to rounding. */
function sparsely(n: number, entries: readonly Entry[]): ((x: Float64Array) => void) | undefined {
  try {
    const lu = new SparseLu(compress(n, entries));
    return (x) => lu.solveRefined(x);
  } catch (error) {
    if (error instanceof Singular) return undefined;
    throw error;
  }
}

/** Solves in place; undefined where the matrix is singular. */
function densely(n: number, entries: readonly Entry[]): ((x: Float64Array) => void) | undefined {
  const matrix = Matrix.zeros(n, n);
  for (const [i, j, value] of entries) matrix.set(i, j, matrix.get(i, j) + value);
  const lu = new LuDecomposition(matrix);
  if (lu.isSingular()) return undefined;
  return (x) => {
    const answer = lu.solve(Matrix.columnVector(x));
    for (let i = 0; i < n; i++) x[i] = answer.get(i, 0);
  };
}

/** The slowest rate at which some states move, so that a hold does not drown slow motion; 1 where none moves. */
function slowest({ nx, rowsOfA: { start, value } }: Condensed, among: Float64Array): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < nx; i++) {
    if (among[i] === 0) continue;
    let most = 0;
    for (let p = start[i]; p < start[i + 1]; p++) most = Math.max(most, Math.abs(value[p]));
    if (most > 0) least = Math.min(least, most);
  }
  return Number.isFinite(least) ? least : 1;
}

/** A conserved sum over the free states, how they share a change of it, and its value. */
interface Hold {
  readonly weights: Float64Array;
  readonly shares: Float64Array;
  readonly kept: number;
  /** A source pushes into it without end. */
  readonly pushed: boolean;
}

/** True for states that have an initial value or depend on others. */
function fixedStates(eq: Condensed, states: readonly State[]): boolean[] {
  const dependent = new Set(eq.dependent.map((d) => d.state));
  return states.map((s, i) => s.initial !== undefined || dependent.has(i));
}

/** The effect of the sources alone on each state: B u. */
function driven({ nx, nu, B }: Condensed, u: Float64Array): Float64Array {
  return new Float64Array(nx).map((_, i) => {
    let sum = 0;
    for (let s = 0; s < nu; s++) sum += B[i * nu + s] * u[s];
    return sum;
  });
}

function holds(eq: Condensed, states: readonly State[], u: Float64Array, ages: number): Hold[] {
  const { nx, rowsOfA, sizes, dependent } = eq;
  const fixed = fixedStates(eq, states);
  const drive = driven(eq, u);
  const given = states.map((s) => s.initial !== undefined);
  return conserved(eq, given).flatMap((all) => {
    // Before anything has happened every sum is zero, apart from the charge at zero volts. Dependent states: y = T x + S u.
    const weights = all.slice();
    let kept = all.reduce((sum, w, i) => (w === 0 ? sum : sum - (w / sizes[i]) * eq.mass.rest[i]), 0);
    for (const { state, row } of dependent) {
      const weight = all[state];
      weights[state] = 0;
      if (weight === 0) continue;
      for (const [p, j] of row.at.entries()) {
        if (j < nx) weights[j] += weight * row.of[p];
        else kept -= weight * row.of[p] * u[j - nx];
      }
    }
    const total = weights.reduce((sum, w, i) => sum + (fixed[i] ? 0 : (w * w) / sizes[i]), 0);
    if (total === 0) return [];
    // If a steered source reaches it, it is not conserved after all.
    const [flow, flows] = [new Float64Array(nx), new Float64Array(nx)];
    for (let i = 0; i < nx; i++) {
      for (let p = rowsOfA.start[i]; weights[i] !== 0 && p < rowsOfA.start[i + 1]; p++) {
        const term = weights[i] * rowsOfA.value[p];
        flow[rowsOfA.column[p]] += term;
        flows[rowsOfA.column[p]] += Math.abs(term);
      }
    }
    if (flow.some((sum, j) => Math.abs(sum) > 1e-9 * flows[j])) return [];
    let push = 0;
    let size = 0;
    for (let i = 0; i < nx; i++) {
      push += weights[i] * drive[i];
      size += Math.abs(weights[i] * drive[i]);
    }
    const pushed = Math.abs(push) > 1e-9 * size;
    if (pushed) kept += ages * push;
    const shares = weights.map((w, i) => (fixed[i] ? 0 : w / sizes[i] / total));
    return [{ weights, shares, kept, pushed }];
  });
}

/** @throws Runaway where a state is far beyond anything the sources could hold. */
export function checkSteady(
  states: readonly State[],
  at: Combination,
  x: Float64Array,
  u: Float64Array,
  ages: number,
): void {
  const { nu, B, rowsOfA } = at.equations;
  // An initial value is exact: only its own size counts, whatever runs away beside it.
  const sizes = expected(at.equations, x, u).map((size, i) =>
    states[i].initial === undefined ? size : Math.abs(x[i]),
  );
  // States of a conserved sum are where they belong; any remaining slope is the rounding of so long a step.
  const kept = new Set<number>();
  const sums = holds(at.equations, states, u, ages).sort((a, b) => Number(a.pushed) - Number(b.pushed));
  for (const { shares, pushed } of sums)
    for (let i = 0; i < shares.length; i++) if (shares[i] !== 0) pushed ? kept.delete(i) : kept.add(i);
  const astray = states.flatMap((state, i) => {
    if (kept.has(i)) return [];
    if (state.initial !== undefined || at.equations.dependent.some((d) => d.state === i)) return [];
    let flow = 0;
    let size = 0;
    for (let p = rowsOfA.start[i]; p < rowsOfA.start[i + 1]; p++) {
      const j = rowsOfA.column[p];
      flow += rowsOfA.value[p] * x[j];
      size += Math.abs(rowsOfA.value[p]) * sizes[j];
    }
    for (let s = 0; s < nu; s++) {
      flow += B[i * nu + s] * u[s];
      size += Math.abs(B[i * nu + s] * u[s]);
    }
    // A runaway has come as far as its slope takes it in ages. Anything else is held, and its slope is rounding: a coupling
    // capacitor between two equal resistors, at zero in balance.
    const gone = Math.abs(x[i]) > 1e-3 * ages * Math.abs(flow);
    return gone && Math.abs(flow) > 1e-6 * size ? [state.part] : [];
  });
  if (astray.length > 0) throw new Runaway(astray);
}
