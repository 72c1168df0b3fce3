// The equations of one combination as one straight system. Between two corners every source runs straight, or is a sine
// of straight amplitude, so with the sources included the system has no inputs:
//
//     z = [ x | carriers | 1 | level and slope of each live source ]        z' = A z
//
// A carrier is four entries, c and s with their quadratures: c = a sin φ + b cos φ and s = a' sin φ + b' cos φ, where a
// and b run straight; so c₁' = s₁ + ω c₂, c₂' = s₂ − ω c₁, s₁' = ω s₂, s₂' = −ω s₁.
// Always: the `moving` entries (x and carriers) have rows of A; of the rest, 1 and the slopes are constant, and a level
// rises by its slope.

import type { Condensed } from "../equations/condense.js";
import { type SparseRows, sparseRows } from "../equations/sparserows.js";
import { ceilLog2, powerOfTwo } from "./binary.js";
import { type Group, wholeOf } from "./groups.js";
import type { Inputs } from "./inputs.js";
import { multiplyRows } from "./products.js";

/** With rates up to this, four derivatives in a row of something bounded are still numbers. */
const quick = 1e60;

/** A live source in z. */
interface Voice {
  /** Source number, from 1. */
  readonly source: number;
  /** Index of its level; its slope follows. */
  readonly level: number;
  /** Index where its carrier begins; −1 without one. */
  readonly carrier: number;
  /** Angular speed of the carrier, radians a second, and its rounding error in doubles. */
  readonly speed: number;
  readonly speedRest: number;
}

/** Writes a row's weights of a source's level (u) and slope (du) into a row over z that begins at `at`. */
export function voiced(out: Float64Array, at: number, voice: Voice, u: number, du: number): void {
  const { level, carrier, speed } = voice;
  out[at + level] = u;
  out[at + level + 1] = du;
  if (carrier < 0) return;
  out[at + carrier] = u;
  out[at + carrier + 1] = du * speed;
  out[at + carrier + 2] = du;
}

/** Writes a carrier's rotation into rows of this width. */
function turned(rows: Float64Array, width: number, carrier: number, speed: number): void {
  rows[carrier * width + carrier + 1] = speed;
  rows[(carrier + 1) * width + carrier] = -speed;
  rows[(carrier + 2) * width + carrier + 3] = speed;
  rows[(carrier + 3) * width + carrier + 2] = -speed;
}

/** One combination of modes with its sources included. */
export class Motion {
  /** Entries that move by themselves: states and carriers. */
  readonly moving: number;
  /** All entries. */
  readonly width: number;
  /** Where the constant 1 stands. */
  readonly one: number;
  readonly voices: readonly Voice[];
  /** Rows of z', one for each moving entry. */
  readonly A: SparseRows;
  /** Guards over z, violated when positive. */
  readonly guards: SparseRows;
  /** Dependent entries of z, and their rows. */
  private readonly tied: readonly number[];
  private readonly ties: SparseRows;
  /** A bound on how fast anything moves, per second: the norm of A, balanced, and the carriers' angular speeds. */
  readonly rate: number;
  /** Whether it is so slow that no derivative of anything bounded overflows. */
  readonly slow: boolean;

  constructor(
    readonly equations: Condensed,
    inputs: Inputs,
    readonly group: Group = wholeOf(equations),
  ) {
    const { nx, nu, B, D, guards } = equations;
    const { states, sources } = group;
    const own = states.length;
    const carriers = sources.filter((s) => inputs.players[s - 1].smooth !== undefined);
    this.moving = own + 4 * carriers.length;
    this.one = this.moving;
    this.width = this.moving + 1 + 2 * sources.length;
    const { moving, one, width } = this;
    this.voices = sources.map((source, i) => {
      const c = carriers.indexOf(source);
      const { speed, speedRest } = inputs.players[source - 1];
      return { source, level: one + 1 + 2 * i, carrier: c < 0 ? -1 : own + 4 * c, speed, speedRest };
    });
    const place = new Int32Array(nx).fill(-1);
    for (const [k, state] of states.entries()) place[state] = k;

    /** Row i of (X, [U, D]) over (x, u, u') as a row over z, written from `at` on. */
    const over = (
      out: Float64Array,
      at: number,
      i: number,
      { start, column, value }: SparseRows,
      [U, V]: readonly [Float64Array, Float64Array],
    ) => {
      for (let p = start[i]; p < start[i + 1]; p++) out[at + place[column[p]]] = value[p];
      out[at + one] = U[i * nu];
      for (const voice of this.voices)
        voiced(out, at, voice, U[i * nu + voice.source], V[i * nu + voice.source]);
    };
    const rows = new Float64Array(moving * width);
    for (const [k, state] of states.entries()) over(rows, k * width, state, equations.rowsOfA, [B, D]);
    for (const { carrier, speed } of this.voices) {
      if (carrier < 0) continue;
      turned(rows, width, carrier, speed);
      rows[carrier * width + carrier + 2] = 1;
      rows[(carrier + 1) * width + carrier + 3] = 1;
    }
    this.A = sparseRows(rows, moving, width);
    const watched = new Float64Array(group.guards.length * width);
    for (const [k, g] of group.guards.entries())
      over(watched, k * width, g, guards.sparse, [guards.U, guards.D]);
    this.guards = sparseRows(watched, group.guards.length, width);
    const following = new Float64Array(group.dependent.length * width);
    for (const [k, { row }] of group.dependent.entries()) {
      const at = k * width;
      for (const [p, j] of row.at.entries()) {
        if (j < nx) following[at + place[j]] = row.of[p];
        else if (j === nx) following[at + one] = row.of[p];
        else {
          const voice = this.voices.find(({ source }) => source === j - nx);
          if (voice) voiced(following, at, voice, row.of[p], 0);
        }
      }
    }
    this.tied = group.dependent.map(({ state }) => place[state]);
    this.ties = sparseRows(following, group.dependent.length, width);
    this.rate = this.voices.reduce(
      (most, { carrier, speed }) => (carrier < 0 ? most : Math.max(most, speed)),
      balancedNorm(rows, own, width),
    );
    this.slow = rows.every((r) => Math.abs(r) < quick / width);
  }

  /** The rounding error in doubles of the moving rows over z, flat. */
  get residue(): Float64Array {
    const { equations, moving, width, one, voices, group } = this;
    const { nx, nu } = equations;
    const { states } = group;
    const { A, B } = equations.remainder;
    const out = new Float64Array(moving * width);
    for (const [k, state] of states.entries()) {
      for (let j = 0; j < states.length; j++) out[k * width + j] = A[state * nx + states[j]];
      out[k * width + one] = B[state * nu];
      for (const voice of voices) voiced(out, k * width, voice, B[state * nu + voice.source], 0);
    }
    for (const { carrier, speedRest } of voices) if (carrier >= 0) turned(out, width, carrier, speedRest);
    return out;
  }

  /** Writes all sources, or those given, at tick n into z, as they arrive there (0) or leave (1). */
  drive(inputs: Inputs, n: number, side: 0 | 1, z: Float64Array, voices = this.voices): void {
    z[this.one] = 1;
    for (let v = 0; v < voices.length; v++) {
      const { source, level, carrier } = voices[v];
      inputs.players[source - 1].drive(n, side, z, level, carrier);
    }
  }

  /** Recomputes the dependent entries. */
  follow(z: Float64Array): void {
    const { tied, ties } = this;
    const { start, column, value } = ties;
    for (let k = 0; k < tied.length; k++) {
      let sum = 0;
      for (let p = start[k]; p < start[k + 1]; p++) sum += value[p] * z[column[p]];
      z[tied[k]] = sum;
    }
  }

  /** out = z' */
  derive(z: Float64Array, out: Float64Array): void {
    multiplyRows(this.A, z, out);
    const { one, width } = this;
    out[one] = 0;
    for (let j = one + 1; j < width; j += 2) {
      out[j] = z[j + 1];
      out[j + 1] = 0;
    }
  }

  /** A row over z' as a row over z: row · A, into another row. */
  before(row: Float64Array, out: Float64Array = new Float64Array(this.width)): Float64Array {
    const { moving, one, width } = this;
    const { start, column, value } = this.A;
    out.fill(0);
    for (let i = 0; i < moving; i++) {
      const r = row[i];
      if (r === 0) continue;
      for (let p = start[i], end = start[i + 1]; p < end; p++) out[column[p]] += r * value[p];
    }
    for (let j = one + 1; j < width; j += 2) out[j + 1] += row[j];
    return out;
  }

  /** Moves the levels in z on by so many seconds. */
  glide(z: Float64Array, seconds: number): void {
    for (let j = this.one + 1; j < this.width; j += 2) z[j] += seconds * z[j + 1];
  }
}

/**
 * Norm of a square matrix (largest sum of sizes in a row) after its entries have been balanced by powers of two, so
 * that volts and amperes compare (E. E. Osborne, J. ACM 7(4), 1960). Powers of two keep scaled designs bit for bit.
 * @param width length of a row of A
 */
export function balancedNorm(A: Float64Array, n: number, width = n): number {
  const size = new Float64Array(n * n);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) size[i * n + j] = Math.abs(A[i * width + j]);
  const scale = new Float64Array(n).fill(1);
  for (let round = 0; round < 20; round++) {
    let moved = false;
    for (let i = 0; i < n; i++) {
      let [row, column] = [0, 0];
      for (let j = 0; j < n; j++) {
        if (j === i) continue;
        row += (size[i * n + j] * scale[j]) / scale[i];
        column += (size[j * n + i] * scale[i]) / scale[j];
      }
      if (row === 0 || column === 0) continue;
      // Row and column sums become equal where scale[i] grows by √(row/column), here to a power of two.
      const by = powerOfTwo(Math.trunc(ceilLog2(row / column) / 2));
      if (by === 1) continue;
      scale[i] *= by;
      moved = true;
    }
    if (!moved) break;
  }
  let norm = 0;
  for (let i = 0; i < n; i++) {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += (size[i * n + j] * scale[j]) / scale[i];
    norm = Math.max(norm, sum);
  }
  return norm;
}
