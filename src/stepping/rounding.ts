// The rounding error of a state or a guard. It is judged by the currents and voltages so far of what is coupled to it, not by
// what is written elsewhere in the text: a choke's current at rest is zero beside the amperes that it carried, and a leakage
// of picoamperes is not rounding because an ampere flows next door.
import type { Condensed } from "../equations/condense.js";
import type { SparseRows } from "../equations/sparserows.js";
import type { Combination, State } from "../equations/system.js";
import type { Inputs } from "./inputs.js";
import type { Sources } from "./products.js";

/** Rounding that a guard may have accumulated, as a share of its terms at their largest so far: half of what a leap allows. */
const roundings = 256 * Number.EPSILON;
/** A charge or flux below this share of the largest so far is rounding. */
const speck = 1e-9;
/** A voltage or current is rounding if its energy is below this squared of all energy ever held. */
const faint = 1e-14;

/** The largest sizes in one march so far. */
export class Rounding {
  /** Largest size of each source's level and slope so far. */
  private readonly stood: Float64Array;
  private readonly steep: Float64Array;
  /** How often one of them has grown. */
  grown = 0;

  /**
   * @param swing largest size of each state so far
   * @param sized the same, less what has been forgotten since
   */
  constructor(
    private readonly states: readonly State[],
    private readonly swing: Float64Array,
    private readonly inputs: Inputs,
    private readonly sized = swing,
  ) {
    this.stood = new Float64Array(inputs.size);
    this.steep = new Float64Array(inputs.size);
  }

  /** Counts levels and slopes of the sources towards the largest sizes. */
  see({ u, du, crest }: Sources): void {
    const { players } = this.inputs;
    for (let s = 0; s < u.length; s++) {
      // A sine that passes through zero has stood at its peak.
      const level = Math.max(Math.abs(u[s]), crest[s]);
      const slope = Math.max(Math.abs(du[s]), crest[s] > 0 ? crest[s] * players[s - 1].speed : 0);
      if (level > this.stood[s]) {
        this.stood[s] = level;
        this.grown++;
      }
      if (slope > this.steep[s]) {
        this.steep[s] = slope;
        this.grown++;
      }
    }
  }

  /** Sizes of the states for `guard` and `place`: the larger of the present and the largest so far that is not forgotten. */
  sizes(x: Float64Array): Float64Array {
    return x.map((v, j) => Math.max(this.sized[j], Math.abs(v)));
  }

  /** The rounding error of a guard. */
  guard({ equations }: Combination, g: number, sizes: Float64Array): number {
    return roundings * this.weigh(equations, equations.guards, g, sizes);
  }

  /** A guard below this stands on its edge, where the state was solved for rather than marched to. */
  edge({ equations }: Combination, g: number, sizes: Float64Array): number {
    return speck * this.weigh(equations, equations.guards, g, sizes);
  }

  /** The least difference in the voltage of a place that counts as one. */
  place(equations: Condensed, p: number, sizes: Float64Array): number {
    return speck * this.weigh(equations, equations.places, p, sizes);
  }

  /** The rounding error of a guard's slope, from everything that moves the states, and from the sources. */
  slope({ equations }: Combination, g: number, sizes: Float64Array): number {
    const { nx, nu, rowsOfA, B, D, guards } = equations;
    let sum = 0;
    for (let i = 0; i < nx; i++) {
      const weight = Math.abs(guards.X[g * nx + i]);
      if (weight === 0) continue;
      let flow = 0;
      for (let p = rowsOfA.start[i]; p < rowsOfA.start[i + 1]; p++)
        flow += Math.abs(rowsOfA.value[p]) * sizes[rowsOfA.column[p]];
      for (let s = 0; s < nu; s++)
        flow += Math.abs(B[i * nu + s]) * this.stood[s] + Math.abs(D[i * nu + s]) * this.steep[s];
      sum += weight * flow;
    }
    for (let s = 1; s < nu; s++) sum += Math.abs(guards.U[g * nu + s]) * this.steep[s];
    return roundings * sum;
  }

  /** The size from which a voltage or current of a state is more than rounding. */
  least(state: number, x: Float64Array): number {
    const { swing } = this;
    let held = 0;
    for (const [j, { size }] of this.states.entries()) held += size * swing[j] * swing[j];
    const most = Math.max(swing[state], Math.abs(x[state]));
    return Math.max(speck * most, faint * Math.sqrt(held / this.states[state].size));
  }

  private weigh(
    { nx, nu }: Condensed,
    { X, U, D }: Condensed["guards"],
    row: number,
    sizes: Float64Array,
  ): number {
    let sum = 0;
    for (let j = 0; j < nx; j++) sum += Math.abs(X[row * nx + j]) * sizes[j];
    for (let s = 0; s < nu; s++)
      sum += Math.abs(U[row * nu + s]) * this.stood[s] + Math.abs(D[row * nu + s]) * this.steep[s];
    return sum;
  }
}

/** The rate, per second, at which each of n states and its strongest neighbour, or it and itself, move each other. */
export function paces({ start, column, value }: SparseRows, n: number): Float64Array {
  const at = (i: number, j: number) => {
    for (let p = start[i]; p < start[i + 1]; p++) if (column[p] === j) return value[p];
    return 0;
  };
  const rates = new Float64Array(n);
  for (let i = 0; i < n; i++)
    for (let p = start[i]; p < start[i + 1] && column[p] < n; p++)
      rates[i] = Math.max(rates[i], Math.sqrt(Math.abs(value[p] * at(column[p], i))));
  return rates;
}

/**
 * Sizes of the states as their neighbours let one expect: where a state is zero in balance, its rounding follows what
 * balances. A coil across a trap has no voltage at rest, but the supply's twelve volts stand behind it.
 */
export function expected({ nx, nu, rowsOfA, B }: Condensed, x: Float64Array, u: Float64Array): Float64Array {
  const { start, column, value } = rowsOfA;
  const rates = paces(rowsOfA, nx);
  let sizes = x.map(Math.abs);
  for (let turn = 0; turn < 2; turn++) {
    const before = sizes;
    sizes = before.map((size, i) => {
      if (rates[i] === 0) return size;
      let flow = 0;
      for (let p = start[i]; p < start[i + 1]; p++)
        if (column[p] !== i) flow += Math.abs(value[p]) * before[column[p]];
      for (let s = 0; s < nu; s++) flow += Math.abs(B[i * nu + s] * u[s]);
      return Math.max(size, flow / rates[i]);
    });
  }
  return nx === 0 ? sizes : Float64Array.from(sizes);
}
