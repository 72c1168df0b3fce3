// The ladder of step sizes: powers of two ticks, and one rung between any two of them for runs where finer steps pay.
// Looked up, not computed: the march asks several times a step.
import { Matrix } from "ml-matrix";
import { type Combination, sparseFrom } from "../equations/system.js";
import { DenseStep } from "./densestep.js";
import { SparseStep } from "./sparsestep.js";
import type { StepMatrices } from "./stepmatrices.js";

/** Ticks of every rung: 1, 2, 3, 4, 6, 8, 12, … up to 2^53, the most that a run has. */
export const ticks: readonly number[] = rungs();

/** The highest rung. */
export const top = ticks.length - 1;

/** Steps after which nothing is left of what one step damps. */
const damping = 4;

/** A time much longer than the run, s, and scaled with it: a design slower by a power of two starts from the same bits. */
export const agesOf = ({ seconds }: { readonly seconds: number }): number =>
  seconds * ticks[top] * ticks[top];

// By sums: powers are not bit-exact in every JavaScript engine.
function rungs(): number[] {
  const list = [1, 2];
  for (let last = 2; last < 9_007_199_254_740_992; last *= 2) list.push(last + last / 2, last + last);
  return list;
}

/** Whether a rung stands between two powers of two. */
const between = (k: number): boolean => k > 1 && k % 2 === 0;

/** The next rung down; where steps need not be fine, the next power of two. Rung 0 has none and stays. */
export function lower(k: number, fine: boolean): number {
  if (k === 0) return 0;
  return fine || !between(k - 1) ? k - 1 : k - 2;
}

/** The next rung up, likewise; the highest stays. */
export function higher(k: number, fine: boolean): number {
  if (k === top) return top;
  return fine || !between(k + 1) ? k + 1 : k + 2;
}

/** The highest rung not longer than so many ticks (at least 1), searched downwards from a given one. */
export function rungBelow(length: number, from = top, fine = false): number {
  let k = from;
  while (k > 0 && (ticks[k] > length || (!fine && between(k)))) k--;
  return k;
}

/** Step matrices of one combination of modes, made on first use. */
export class StepLadder {
  private readonly growths: (Matrix | undefined)[] = [];
  private readonly rungs: (StepMatrices | undefined)[] = new Array(top + 1).fill(undefined);
  /** Steps of other lengths: a fixed step, and the rest before an edge. */
  private readonly others = new Map<number, StepMatrices>();
  /** The rung of the last free step after an event. */
  entry = top;
  /** Sources whose levels are needed here: they move a state or a guard. */
  readonly live: readonly number[];
  /** Whether a source moves a state directly, so that its current is the source's slope. */
  readonly tied: boolean;

  /** @param tick length of a tick in seconds */
  constructor(
    readonly at: Combination,
    private readonly tick: number,
  ) {
    const { guards, active, nx, nu, dependent } = at.equations;
    this.tied = active.some((s) => dependent.some(({ row }) => row.at.includes(nx + s)));
    const watched = (s: number) => {
      for (let g = 0; g < guards.count; g++)
        if (guards.U[g * nu + s] !== 0 || guards.D[g * nu + s] !== 0) return true;
      return false;
    };
    this.live = Array.from({ length: nu - 1 }, (_, i) => i + 1).filter(
      (s) => active.includes(s) || watched(s),
    );
  }

  /** The matrices of rung k. */
  rung(k: number): StepMatrices {
    let rung = this.rungs[k];
    if (!rung) {
      rung = this.make(ticks[k]);
      this.rungs[k] = rung;
    }
    return rung;
  }

  /**
   * out = what is left of an error e, state by state, after so many ticks (at least 1): what rings keeps it, what dies out
   * forgets it. In a large circuit it is a bound: some steps as long as the one that made it, which damp what is faster than
   * that, and then a chain of Cayley transforms of ever greater lengths, each of which passes ringing undamped, and one or other
   * of which hits any slower decay (E. I. Zolotarev's problem).
   * @param from rung of the step that made the error
   */
  fade(e: Float64Array, length: number, from: number, out: Float64Array): void {
    out.set(e);
    const last = rungBelow(length);
    if (this.at.equations.nx < sparseFrom) {
      const grown = this.growth(last);
      for (let i = 0; i < out.length; i++)
        for (let j = 0; j < e.length; j++) out[i] += grown.get(i, j) * e[j];
      return;
    }
    const before = new Float64Array(e.length);
    const alike = Math.min(damping, Math.floor(length / ticks[from]));
    for (let step = 0; step < alike; step++) {
      before.set(out);
      this.rung(from).linear(before, true, out);
    }
    for (let k = Math.max(1, from); k <= last; k++) {
      before.set(out);
      this.rung(k).linear(before, false, out);
    }
  }

  /** e^(Ah) − I for rung k, a power of two: by squaring, from a length at which one trapezoid is as good. */
  private growth(k: number): Matrix {
    let found = this.growths[k];
    if (found) return found;
    const { A, nx } = this.at.equations;
    const h = ticks[k] * this.tick;
    let most = 0;
    for (let i = 0; i < nx; i++) {
      let sum = 0;
      for (let j = 0; j < nx; j++) sum += Math.abs(A[i * nx + j]);
      most = Math.max(most, sum);
    }
    if (k > 0 && most * h > 1 / 64) {
      const half = this.growth(lower(k, false));
      found = Matrix.add(Matrix.mul(half, 2), half.mmul(half));
    } else {
      found = new Matrix(nx, nx);
      for (let j = 0; j < nx; j++) {
        const [unit, moved] = [new Float64Array(nx), new Float64Array(nx)];
        unit[j] = 1;
        this.rung(k).linear(unit, false, moved);
        for (let i = 0; i < nx; i++) found.set(i, j, moved[i]);
      }
    }
    this.growths[k] = found;
    return found;
  }

  /** The matrices for a step of any whole number of ticks. */
  stride(length: number): StepMatrices {
    const k = rungBelow(length);
    if (ticks[k] === length) return this.rung(k);
    let rung = this.others.get(length);
    if (!rung) {
      // Odd lengths are rests before an edge; where edges never repeat they are not worth keeping.
      if (this.others.size >= 512) this.others.clear();
      rung = this.make(length);
      this.others.set(length, rung);
    }
    return rung;
  }

  private make(length: number): StepMatrices {
    const { equations } = this.at;
    const h = length * this.tick;
    return equations.columnsOfA ? new SparseStep(equations, h) : new DenseStep(equations, h);
  }

  /** How many sets of matrices there are. */
  get size(): number {
    return this.others.size + this.rungs.reduce((count, rung) => count + (rung ? 1 : 0), 0);
  }
}
