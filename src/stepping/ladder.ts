// The ladder of step sizes: powers of two ticks, and one rung between any two of them for runs that are worth finer
// steps. Looked up, not computed: the march asks for them several times a step.
import type { Combination } from "../equations/system.js";
import { DenseRung } from "./dense.js";
import type { Rung } from "./rung.js";
import { ThinRung } from "./thin.js";

/** Ticks of every rung: 1, 2, 3, 4, 6, 8, 12, … up to 2^53, the most that a run has. */
export const ticks: readonly number[] = rungs();

/** The highest rung. */
export const top = ticks.length - 1;

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

/** The highest rung that is not longer than so many ticks (at least 1), looked for from a rung downwards. */
export function rungBelow(length: number, from = top, fine = false): number {
  let k = from;
  while (k > 0 && (ticks[k]! > length || (!fine && between(k)))) k--;
  return k;
}

/** Step matrices of one combination of modes, made when first needed and kept. */
export class Ladder {
  private readonly rungs: (Rung | undefined)[] = new Array(top + 1).fill(undefined);
  /** Steps of other lengths: a fixed step, and what is left before an edge. */
  private readonly others = new Map<number, Rung>();
  /** The rung that the first free step after an event took last time. */
  entry = top;
  /** Sources whose levels the march must know here: they move a state or a guard. */
  readonly live: readonly number[];
  /** True where a source moves a state directly, so that its current is the source's slope. */
  readonly tied: boolean;

  /** @param tick length of a tick in seconds */
  constructor(
    readonly at: Combination,
    private readonly tick: number,
  ) {
    const { guards, active, nu } = at.equations;
    this.tied = active.some((s) => at.equations.ties.some((tie) => tie.S[s] !== 0));
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
  rung(k: number): Rung {
    let rung = this.rungs[k];
    if (!rung) {
      rung = this.make(ticks[k]!);
      this.rungs[k] = rung;
    }
    return rung;
  }

  /** The matrices for a step of any whole number of ticks. */
  stride(length: number): Rung {
    const k = rungBelow(length);
    if (ticks[k] === length) return this.rung(k);
    let rung = this.others.get(length);
    if (!rung) {
      // Odd lengths come from what is left before an edge; where the edges never repeat they are not worth keeping.
      if (this.others.size >= 512) this.others.clear();
      rung = this.make(length);
      this.others.set(length, rung);
    }
    return rung;
  }

  private make(length: number): Rung {
    const { equations } = this.at;
    const h = length * this.tick;
    return equations.thin ? new ThinRung(equations, h) : new DenseRung(equations, h);
  }

  /** How many sets of matrices there are. */
  get size(): number {
    return this.others.size + this.rungs.reduce((count, rung) => count + (rung ? 1 : 0), 0);
  }
}
