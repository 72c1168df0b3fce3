// A second solver of another make for the tests: the sparse tableau of a circuit (every place's voltage and every
// element's current is an unknown) in whole numbers of any length, eliminated without rounding. Nothing of it is
// shared with src.
import type { Element } from "../../src/equations/elements.js";

/** A double as a whole number times a power of two, exactly: [n, e] for n · 2^e. */
function parts(x: number): [bigint, number] {
  if (x === 0) return [0n, 0];
  const bits = new DataView(new ArrayBuffer(8));
  bits.setFloat64(0, x);
  const high = bits.getUint32(0);
  const exponent = (high >>> 20) & 0x7ff;
  const mantissa = (BigInt(high & 0xfffff) << 32n) | BigInt(bits.getUint32(4));
  const n = exponent === 0 ? mantissa : mantissa | (1n << 52n);
  return [x < 0 ? -n : n, Math.max(exponent, 1) - 1075];
}

/** A row of doubles times one power of two, all whole. */
function whole(row: readonly number[]): bigint[] {
  const all = row.map(parts);
  const least = Math.min(...all.filter(([n]) => n !== 0n).map(([, e]) => e));
  return all.map(([n, e]) => (n === 0n ? 0n : n << BigInt(e - least)));
}

/** A quotient as the nearest double, or next to it. */
export function quotient(n: bigint, d: bigint): number {
  if (n === 0n) return 0;
  const negative = n < 0n !== d < 0n;
  const [a, b] = [n < 0n ? -n : n, d < 0n ? -d : d];
  const shift = 80 - (a.toString(2).length - b.toString(2).length);
  const q = shift >= 0 ? (a << BigInt(shift)) / b : a / (b << BigInt(-shift));
  const value = Number(q) * 2 ** -shift;
  return negative ? -value : value;
}

/**
 * Solves A x = b for several right-hand sides, exactly up to the last quotient. Fraction-free elimination: E. H. Bareiss,
 * Math. Comp. 22, 1968 (from memory).
 * @returns one answer for each right-hand side; undefined where A is singular
 */
export function solveExactly(
  A: readonly (readonly number[])[],
  right: readonly (readonly number[])[],
): number[][] | undefined {
  const n = A.length;
  const m = A.map((row, i) => whole([...row, ...right.map((b) => b[i])]));
  let previous = 1n;
  for (let k = 0; k < n; k++) {
    const swap = m.findIndex((row, i) => i >= k && row[k] !== 0n);
    if (swap < 0) return undefined;
    [m[k], m[swap]] = [m[swap], m[k]];
    for (let i = 0; i < n; i++) {
      if (i === k) continue;
      const [factor, pivot] = [m[i][k], m[k][k]];
      // Jordan's way, all rows at once: the diagonal ends as one number, the determinant.
      for (let j = 0; j < m[i].length; j++) m[i][j] = (m[i][j] * pivot - m[k][j] * factor) / previous;
    }
    previous = m[k][k];
  }
  return right.map((_, r) => m.map((row, i) => quotient(row[n + r], row[i])));
}

/** What every element carries and every place stands at, for one unit source at a time. */
export interface Response {
  /** Amperes by element. */
  readonly currents: readonly number[];
  /** Volts by place, ground first. */
  readonly voltages: readonly number[];
}

/**
 * Responses of a circuit to given right-hand sides. Capacitors are held at a voltage, inductors at a current.
 * @param given for each response, the volt or ampere that each element without a resistance of its own is given
 */
export function respond(
  places: number,
  elements: readonly Element[],
  given: readonly (readonly number[])[],
): Response[] | undefined {
  const n = places - 1 + elements.length;
  const at = (place: number) => place - 1;
  const current = (i: number) => places - 1 + i;
  const A: number[][] = Array.from({ length: n }, () => new Array(n).fill(0));
  const put = (row: number, column: number, value: number) => {
    if (row >= 0 && column >= 0) A[row][column] += value;
  };
  elements.forEach((e, i) => {
    put(at(e.a), current(i), 1);
    put(at(e.b), current(i), -1);
    const row = current(i);
    if (e.type === "push" || e.type === "inductor") put(row, current(i), 1);
    else {
      put(row, at(e.a), 1);
      put(row, at(e.b), -1);
      if (e.type === "resistor" || e.type === "hold") put(row, current(i), -e.size);
    }
    if (e.steer) {
      put(row, at(e.steer.a), -e.steer.gain);
      put(row, at(e.steer.b), e.steer.gain);
    }
  });
  const right = given.map((list) => [...new Array(places - 1).fill(0), ...list]);
  return solveExactly(A, right)?.map((x) => ({
    currents: x.slice(places - 1),
    voltages: [0, ...x.slice(0, places - 1)],
  }));
}
