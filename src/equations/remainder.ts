// What doubles leave of x' = A x + B u. An entry of A is right to a rounding, but what is slow beside something fast is a
// small difference of entries, and has ε · fast / slow left of it; a leap over many of the fastest time constants wants to
// know more. What moves the states is worked out in pairs of doubles, and what A and B lack of it is handed on, with what
// an entry of A may be off by even then.
//
// How the slopes follow from what moves the states (sizes, and the inverse of what shares them) is taken as it stands in
// doubles: its rounding is that of a capacitance or inductance, by which what is slow changes no more than anything else.
import { type DoubleDouble, doubleDoubles } from "./arithmetic.js";
import type { TrackedRow, Vector } from "./vector.js";

/** What rounding made of A and B. */
export interface Remainder {
  /** To be added, row by row. */
  readonly A: Float64Array;
  readonly B: Float64Array;
  /** What is not known of A, entry by entry: the rounding of what steers. Undefined where that is nothing. */
  readonly rough?: Float64Array;
}

/** What moves a state: h over x | u in pairs, and the size of what was put in in doubles. */
export interface PreciseRow {
  readonly row: TrackedRow<DoubleDouble>;
  readonly steered: Vector;
}

/**
 * @param slopes x' as doubles have it, over x | u …
 * @param spread by free state: which states' h make its slope, and by what factors
 * @param fine by free state, h
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
