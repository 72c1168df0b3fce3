// Doubling in pairs of doubles. Where fast and slow states are coupled, slow motion is a small difference between entries
// of E for short lengths, and each rounding there grows with every doubling that follows, to about ε · τslow / τfast in
// the end. So lengths far beyond the fastest time constant are doubled in pairs from the very beginning (see
// equations/arithmetic.ts), from a motion whose own rounding is known, and rounded only at the end.
// Takes a motion and the initial length; gives E of 2^k such lengths, in rows of the moving entries over z.
// Always: which lengths are asked for, and in which order, changes no bit.
//
// Products are summed with the error of every product and sum carried beside them (T. Ogita, S. Rump & S. Oishi,
// Accurate sum and dot product, SIAM J. Sci. Comput. 26(6), 2005).
import { powerOfTwo } from "./binary.js";
import type { Motion } from "./motion.js";

/** A matrix of pairs, flat. */
export interface PairMatrix {
  readonly high: Float64Array;
  readonly low: Float64Array;
}

/** Terms of a trapezoid in which nothing moves by more than 2^−22: the next term is below the last bit. */
const terms = 4;
/** Pseudo-random errors: the fractions of the multiples of √2, √3 and √5 are spread evenly. */
const ways = [Math.SQRT2 - 1, Math.sqrt(3) - 1, Math.sqrt(5) - 2];
/** G. Veltkamp's factor, which splits a double into two halves. */
const half = 134217729;

/** E of 2^k times a length. */
export class DoubleDoubleChain {
  private readonly made: PairMatrix[] = [];

  /**
   * @param seconds the initial length
   * @param halvings how many halvings make it short enough for a trapezoid, see `Doubling`
   */
  constructor(
    private readonly motion: Motion,
    readonly seconds: number,
    private readonly halvings: number,
  ) {}

  /** E of 2^k lengths, rounded. */
  E(k: number): Float64Array {
    return this.pairs(k).high;
  }

  /**
   * A row over z as a row over the z 2^k lengths earlier, and its slope a second over the same. What has died away by then
   * is absent from both and costs them no digits.
   * @param rest the row's rounding error in doubles
   */
  before(
    row: Float64Array,
    rest: Float64Array,
    k: number,
  ): { readonly value: Float64Array; readonly slope: Float64Array } {
    const value = this.pulled({ high: row, low: rest }, k);
    return { value: value.high, slope: this.derived(value, 1).high };
  }

  /** Rows over z as rows over the z 2^k lengths earlier. */
  pulled(rows: PairMatrix, k: number): PairMatrix {
    const { width, one } = this.motion;
    const out = this.times(rows, this.pairs(k), rows.high.length / width);
    const seconds = this.seconds * powerOfTwo(k);
    for (let p = 0; p < rows.high.length; p++) addTo(out, p, rows.high[p], rows.low[p]);
    for (let i = 0; i < rows.high.length; i += width)
      for (let j = i + one + 1; j < i + width; j += 2) addTimes(out, j + 1, rows, j, seconds);
    return out;
  }

  /** Rows over z' as rows over z, times so many seconds. */
  derived(rows: PairMatrix, seconds: number): PairMatrix {
    const { width, one } = this.motion;
    const out = this.times(rows, this.scaled(seconds), rows.high.length / width);
    for (let i = 0; i < rows.high.length; i += width)
      for (let j = i + one + 1; j < i + width; j += 2) addTimes(out, j + 1, rows, j, seconds);
    return out;
  }

  private pairs(k: number): PairMatrix {
    const { made } = this;
    if (made.length === 0) made.push(this.seed());
    while (made.length <= k) {
      const last = made.length - 1;
      made.push(this.doubled(made[last], this.seconds * powerOfTwo(last)));
    }
    return made[k];
  }

  /**
   * States whose error after 2^k lengths, caused by the motion's uncertainty, exceeds a share of what is held: estimated
   * from sample errors of the possible sizes, which are propagated exactly.
   */
  doubtful(k: number, share: number): number[] {
    const { motion, made, seconds } = this;
    const { equations, group } = motion;
    const { states } = group;
    const { rough } = equations.remainder;
    if (!rough) return [];
    const n = states.length;
    const found = new Set<number>();
    for (const way of ways) {
      let off = new Float64Array(n * n);
      for (let p = 0; p < off.length; p++) {
        const [i, j] = [states[Math.floor(p / n)], states[p % n]];
        const turn = (i * equations.nx + j + 1) * way;
        off[p] = seconds * rough[i * equations.nx + j] * (2 * (turn - Math.floor(turn)) - 1);
      }
      for (let turn = 0; turn < k; turn++) off = this.carried(off, made[turn].high);
      for (let p = 0; p < off.length; p++) {
        const [i, j] = [states[Math.floor(p / n)], states[p % n]];
        if (!(Math.abs(off[p]) * Math.sqrt(equations.sizes[i] / equations.sizes[j]) > share)) continue;
        found.add(i);
        found.add(j);
      }
    }
    return [...found];
  }

  /** A small error δ of E in the states, over twice the time: δ (1 + E) + (1 + E) δ. */
  private carried(off: Float64Array, E: Float64Array): Float64Array<ArrayBuffer> {
    const { width, group } = this.motion;
    const n = group.states.length;
    const out = off.map((v) => 2 * v);
    for (let i = 0; i < n; i++)
      for (let k = 0; k < n; k++) {
        const [e, d] = [E[i * width + k], off[i * n + k]];
        if (e === 0 && d === 0) continue;
        for (let j = 0; j < n; j++) out[i * n + j] += e * off[k * n + j] + d * E[k * width + j];
      }
    return out;
  }

  private seed(): PairMatrix {
    let h = this.seconds / powerOfTwo(this.halvings);
    let E = this.trapezoid(h);
    for (let k = 0; k < this.halvings; k++, h *= 2) E = this.doubled(E, h);
    return E;
  }

  /** A trapezoid: 2X (1 + X + X² + …) with X = hA/2. */
  private trapezoid(h: number): PairMatrix {
    const X = this.scaled(h / 2);
    const { moving, width, one } = this.motion;
    let power = X;
    const sum: PairMatrix = { high: X.high.slice(), low: X.low.slice() };
    for (let k = 2; k <= terms; k++) {
      const next = this.times(power, X);
      for (let i = 0; i < moving * width; i += width)
        for (let j = i + one + 1; j < i + width; j += 2) addTimes(next, j + 1, power, j, h / 2);
      for (let p = 0; p < next.high.length; p++) addTo(sum, p, next.high[p], next.low[p]);
      power = next;
    }
    return { high: sum.high.map((v) => 2 * v), low: sum.low.map((v) => 2 * v) };
  }

  /** A times h, with the rounding error of A in doubles added. */
  private scaled(h: number): PairMatrix {
    const { A, moving, width, residue } = this.motion;
    const X = matrix(moving * width);
    for (let i = 0; i < moving; i++)
      for (let p = A.start[i]; p < A.start[i + 1]; p++) X.high[i * width + A.column[p]] = A.value[p];
    for (let p = 0; p < X.high.length; p++) {
      const high = X.high[p] * h;
      put(X, p, high, productError(X.high[p], h, high) + residue[p] * h);
    }
    return X;
  }

  /** E of twice the time h: 2E + E². */
  private doubled(E: PairMatrix, h: number): PairMatrix {
    const { moving, width, one } = this.motion;
    const out = this.times(E, E);
    for (let p = 0; p < out.high.length; p++) addTo(out, p, 2 * E.high[p], 2 * E.low[p]);
    for (let i = 0; i < moving * width; i += width)
      for (let j = i + one + 1; j < i + width; j += 2) addTimes(out, j + 1, E, j, h);
    return out;
  }

  /** The moving columns of P, which has so many rows, times Q. */
  private times(P: PairMatrix, Q: PairMatrix, rows = this.motion.moving): PairMatrix {
    const { moving, width } = this.motion;
    const out = matrix(rows * width);
    const upper = new Float64Array(Q.high.length);
    for (let q = 0; q < upper.length; q++) {
      const spread = half * Q.high[q];
      upper[q] = spread - (spread - Q.high[q]);
    }
    const { high, low } = out;
    const { high: qh, low: ql } = Q;
    for (let i = 0; i < rows; i++) {
      const row = i * width;
      for (let k = 0; k < moving; k++) {
        const [p, pl] = [P.high[row + k], P.low[row + k]];
        if (p === 0 && pl === 0) continue;
        const spread = half * p;
        const p1 = spread - (spread - p);
        const p2 = p - p1;
        for (let j = row, q = k * width, end = row + width; j < end; j++, q++) {
          const product = p * qh[q];
          const q1 = upper[q];
          const q2 = qh[q] - q1;
          const error = p2 * q2 - (product - p1 * q1 - p2 * q1 - p1 * q2) + (p * ql[q] + pl * qh[q]);
          const before = high[j];
          const sum = before + product;
          const part = sum - before;
          high[j] = sum;
          low[j] += before - (sum - part) + (product - part) + error;
        }
      }
      for (let j = row; j < row + width; j++) put(out, j, high[j], low[j]);
    }
    return out;
  }
}

function matrix(entries: number): PairMatrix {
  return { high: new Float64Array(entries), low: new Float64Array(entries) };
}

/** The rounding error of a product of two doubles (T. J. Dekker, Numerische Mathematik 18, 1971). */
function productError(a: number, b: number, product: number): number {
  const [sa, sb] = [half * a, half * b];
  const [a1, b1] = [sa - (sa - a), sb - (sb - b)];
  const [a2, b2] = [a - a1, b - b1];
  return a2 * b2 - (product - a1 * b1 - a2 * b1 - a1 * b2);
}

function put({ high, low }: PairMatrix, p: number, a: number, b: number): void {
  const sum = a + b;
  high[p] = sum;
  low[p] = b - (sum - a);
}

/** Adds a pair to an entry. */
export function addTo(to: PairMatrix, p: number, a: number, b: number): void {
  const before = to.high[p];
  const sum = before + a;
  const part = sum - before;
  put(to, p, sum, before - (sum - part) + (a - part) + (to.low[p] + b));
}

/** Adds a factor times an entry of another matrix. */
export function addTimes(to: PairMatrix, p: number, from: PairMatrix, q: number, factor: number): void {
  const product = from.high[q] * factor;
  addTo(to, p, product, productError(from.high[q], factor, product) + from.low[q] * factor);
}
