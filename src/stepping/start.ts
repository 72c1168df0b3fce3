// The state a run starts from: at rest (every state zero, or what its part is given), or the steady state for
// the signals' values at time zero, just after it. The steady state is one backward-Euler step of 10¹² s from
// rest, taken twice: what has a way to settle settles, what has none stays where it was, and what is driven
// without end runs away, which either flips a mode (a diode catches the ramp) or is reported.
import { LuDecomposition, Matrix } from "ml-matrix";
import type { Condensed } from "../equations/condense.js";
import type { Combination, State, System } from "../equations/system.js";

const ages = 1e12;

/** A state that nothing stops: it has no steady value. */
export class Runaway extends Error {
  override readonly name = "Runaway";
  /** @param parts the parts whose states run away */
  constructor(readonly parts: readonly number[]) {
    super("no steady state");
  }
}

/** States before anything has happened: what the parts are given, else zero. */
export function rest(states: readonly State[]): Float64Array {
  return Float64Array.from(states, (s) => s.initial ?? 0);
}

/** Steady state of one combination for fixed levels u; states that are given stay. */
export function steady(eq: Condensed, states: readonly State[], u: Float64Array): Float64Array {
  const { nx, nu, A, B } = eq;
  const x = rest(states);
  if (nx === 0) return x;
  const dependent = new Set(eq.ties.map((d) => d.state));
  const given = states.map((s, i) => s.initial !== undefined || dependent.has(i));
  const matrix = Matrix.eye(nx, nx);
  for (let i = 0; i < nx; i++) {
    if (given[i]) continue;
    for (let j = 0; j < nx; j++) matrix.set(i, j, (i === j ? 1 : 0) - ages * A[i * nx + j]!);
  }
  const lu = new LuDecomposition(matrix);
  for (let pass = 0; pass < 2; pass++) {
    const right = Matrix.zeros(nx, 1);
    for (let i = 0; i < nx; i++) {
      let drive = 0;
      for (let s = 0; s < nu; s++) drive += B[i * nu + s]! * u[s]!;
      right.set(i, 0, given[i] ? x[i]! : x[i]! + ages * drive);
    }
    const answer = lu.solve(right);
    for (let i = 0; i < nx; i++) x[i] = answer.get(i, 0);
  }
  eq.follow(x, u);
  return x;
}

/** @throws Runaway where a state is far beyond anything the sources could hold. */
export function checkSteady(system: System, at: Combination, x: Float64Array, u: Float64Array): void {
  const { nx, nu, A, B } = at.equations;
  const astray = system.states.flatMap((state, i) => {
    if (state.initial !== undefined || at.equations.ties.some((d) => d.state === i)) return [];
    let flow = 0;
    let size = 0;
    for (let j = 0; j < nx; j++) {
      flow += A[i * nx + j]! * x[j]!;
      size += Math.abs(A[i * nx + j]! * x[j]!);
    }
    for (let s = 0; s < nu; s++) {
      flow += B[i * nu + s]! * u[s]!;
      size += Math.abs(B[i * nu + s]! * u[s]!);
    }
    return Math.abs(flow) > 1e-6 * size ? [state.part] : [];
  });
  if (astray.length > 0) throw new Runaway(astray);
}
