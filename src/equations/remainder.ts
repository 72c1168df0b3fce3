// The rounding error of x' = A x + B u in doubles. An entry of A is right to one rounding, but a slow motion beside a fast one
// is a small difference of entries, with an error of ε · fast / slow; a leap over many of the fastest time constants needs
// better. So what moves the states is computed in pairs of doubles, and the errors of A and B are handed on, with a bound on
// what is still unknown of each entry of A.
//
// The factors between that and the slopes (sizes, and the inverse of the mass matrix) are taken as they are in doubles: their
// rounding is that of a capacitance or inductance, which changes slow motion no more than anything else.
import { type DoubleDouble, doubleDoubles } from "./arithmetic.js";
import type { TrackedRow, Vector } from "./vector.js";

/** The rounding errors of A and B. */
export interface Remainder {
  /** To be added, row by row. */
  readonly A: Float64Array;
  readonly B: Float64Array;
  /** What is unknown of A, entry by entry: the rounding of the steering voltages. Undefined where there is none. */
  readonly rough?: Float64Array;
}

/** What moves a state: h over x | u in pairs, and the sizes of what was substituted in doubles. */
export interface PreciseRow {
  readonly row: TrackedRow<DoubleDouble>;
  readonly steered: Vector;
}

/**
 * @param slopes x' in doubles, over x | u …
 * @param spread by free state: the states whose h make up its slope, with their factors
 * @param fine h by free state
 */
export function remainderOf(
  nx: number,
  nu: number,
  slopes: readonly Vector[],
  spread: ReadonlyMap<number, readonly (readonly [of: number, factor: number])[]>,
  fine: ReadonlyMap<number, PreciseRow>,
): Remainder {
  const A = new Float64Array(nx * nx);
  const B = new Float64Array(nx * nu);
  const rough = new Float64Array(nx * nx);
  for (const [k, members] of spread) {
    const sum = new Map<number, DoubleDouble>();
    const put = (column: number, value: DoubleDouble) => {
      const before = sum.get(column);
      sum.set(column, before ? doubleDoubles.add(before, value) : value);
    };
    for (const [member, factor] of members) {
      const { row, steered } = fine.get(member)!;
      const by = doubleDoubles.of(factor);
      for (const [p, column] of row.at.entries()) put(column, doubleDoubles.times(row.of[p], by));
      for (const [p, column] of steered.at.entries())
        if (column < nx) rough[k * nx + column] += Math.abs(steered.of[p] * factor) * Number.EPSILON;
    }
    const { at, of } = slopes[k];
    for (const [p, column] of at.entries()) if (column < nx + nu) put(column, doubleDoubles.of(-of[p]));
    for (const [column, value] of sum) {
      if (column < nx) A[k * nx + column] = doubleDoubles.value(value);
      else B[k * nu + column - nx] = doubleDoubles.value(value);
    }
  }
  return rough.some((off) => off > 0) ? { A, B, rough } : { A, B };
}
