// What a row of the table is made of. A row names a circuit whose answer is known from outside; each of its claims
// says what is looked at, what must come out, how the difference is measured, and how large it may be. The tests, the
// ratchet of bounds and the page for readers all go through the same claims, so none of them can say more than
// another. What always holds: a claim works out its figure only when asked, and runs shared by claims are run once.
import { compile, type Run, type SimulateOptions, simulate } from "../../src/index.js";

/**
 * How the difference is measured: `relative` to what is expected; `absolute` in its unit; in units in the last place
 * (`ulp`) of what is expected; or `same`, where only equality counts and the difference is 0 or 1.
 */
export type Kind = "relative" | "absolute" | "ulp" | "same";

/** One thing that must come out. */
export interface Claim {
  readonly what: string;
  readonly expected: number | string;
  readonly unit?: string;
  readonly kind: Kind;
  /** The largest difference that the claim allows; never to be loosened. */
  readonly bound: number;
  readonly got: () => number | string;
}

/** A circuit and what is claimed of it. */
export interface Row {
  /** Its number in the suite, or a word for rows beyond the numbered ones. */
  readonly row: string;
  readonly title: string;
  /** Where the expected figures come from. */
  readonly source: string;
  /** What a reader should know, e.g. why a figure is better than was asked for. */
  readonly note?: string;
  readonly claims: readonly Claim[];
}

/** The difference between what was expected and what came out, measured as the claim says. NaN counts as infinite. */
export function difference({ expected, kind }: Claim, got: number | string): number {
  if (kind === "same") return Object.is(got, expected) ? 0 : 1;
  if (typeof got !== "number" || typeof expected !== "number") return Number.POSITIVE_INFINITY;
  const off = Math.abs(got - expected);
  const size = { relative: Math.abs(expected), absolute: 1, ulp: unitInTheLastPlace(expected) }[kind];
  return Number.isNaN(off) ? Number.POSITIVE_INFINITY : off / size;
}

/** The name of a claim, unique in the table. */
export function nameOf(row: Row, claim: Claim): string {
  return `${row.row}: ${claim.what}`;
}

function unitInTheLastPlace(x: number): number {
  const bits = new DataView(new ArrayBuffer(8));
  bits.setFloat64(0, Math.abs(x));
  bits.setBigInt64(0, bits.getBigInt64(0) + 1n);
  return bits.getFloat64(0) - Math.abs(x);
}

// ---- working out figures

/** Compiles and simulates; a run that was stopped has no figures. */
export function run(text: string, options: SimulateOptions = {}): Run {
  const done = simulate(compile(text), options);
  if (done.status !== "complete") throw new Error(`the run was stopped: ${done.reason}`);
  return done;
}

/** Works something out when first asked and keeps it. */
export function once<T>(make: () => T): () => T {
  let made: { value: T } | undefined;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}

/** The last entry. */
export function last(values: ArrayLike<number>): number {
  return values[values.length - 1];
}

/** Of many figures that should all be the same, the one farthest from it; NaN where one is, or there is none. */
export function farthest(values: Iterable<number>, expected: number): number {
  let worst = Number.NaN;
  let off = -1;
  for (const v of values) {
    if (Number.isNaN(v)) return v;
    if (Math.abs(v - expected) > off) [worst, off] = [v, Math.abs(v - expected)];
  }
  return worst;
}

/** The largest size; NaN where one is, or there is none. */
export function largest(values: Iterable<number>): number {
  return Math.abs(farthest(values, 0));
}

/** The order that a quantity's errors show between two steps that differ by a factor of two. */
export function order(coarse: number, fine: number): number {
  return Math.log2(Math.abs(coarse) / Math.abs(fine));
}
