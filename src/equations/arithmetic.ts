// The numbers that equations are built from: doubles, and pairs of doubles for rows in which doubles cancel. A pair stands
// for the sum of its two members, the second below the rounding of the first: about 31 digits. Only + − × ÷ are used, and
// scaling by powers of two is exact to the bit in both.
//
// T. J. Dekker, A floating-point technique for extending the available precision, Numerische Mathematik 18, 1971; the
// product by halves is G. Veltkamp's, from there; the exact sum is D. Knuth's (The Art of Computer Programming 2, 4.2.2).
/** Arithmetic on one kind of number. */
export interface Arithmetic<T> {
  /** The largest error of an operation, as a share of its result. */
  readonly rounding: number;
  readonly zero: T;
  of(x: number): T;
  value(x: T): number;
  add(a: T, b: T): T;
  /** Whether the sum of two numbers is known to be exact: whole numbers cancel to a true zero. */
  exact(a: T, b: T, sum: T): boolean;
  times(a: T, b: T): T;
  over(a: T, b: T): T;
  negative(a: T): T;
}

/** Doubles. */
export const doubles: Arithmetic<number> = {
  rounding: Number.EPSILON / 2,
  zero: 0,
  of: (x) => x,
  value: (x) => x,
  add: (a, b) => a + b,
  exact(a, b, sum) {
    const part = sum - a;
    return a - (sum - part) + (b - part) === 0;
  },
  times: (a, b) => a * b,
  over: (a, b) => a / b,
  negative: (a) => -a,
};

/** A pair of doubles. */
export interface DoubleDouble {
  readonly high: number;
  readonly low: number;
}

/** Pairs of doubles. */
export const doubleDoubles: Arithmetic<DoubleDouble> = {
  // Dekker bounds the error of a product or quotient by about ten times 2^−106, that of a sum of like signs by less.
  rounding: 1.9721522630525295e-31, // 2^−102
  zero: { high: 0, low: 0 },
  of: (x) => ({ high: x, low: 0 }),
  value: (x) => x.high + x.low,
  add(a, b) {
    const { high, low } = exactSum(a.high, b.high);
    const { high: middle, low: least } = exactSum(a.low, b.low);
    const first = exactSum(high, low + middle);
    return exactSum(first.high, first.low + least);
  },
  exact: (a, b) => a.low === 0 && b.low === 0,
  times(a, b) {
    const { high, low } = exactProduct(a.high, b.high);
    return joined(high, low + (a.high * b.low + a.low * b.high));
  },
  over(a, b) {
    const quotient = a.high / b.high;
    const rest = doubleDoubles.add(
      a,
      doubleDoubles.negative(doubleDoubles.times(b, { high: quotient, low: 0 })),
    );
    const more = rest.high / b.high;
    const left = doubleDoubles.add(
      rest,
      doubleDoubles.negative(doubleDoubles.times(b, { high: more, low: 0 })),
    );
    return doubleDoubles.add(joined(quotient, more), { high: left.high / b.high, low: 0 });
  },
  negative: (a) => ({ high: -a.high, low: -a.low }),
};

function exactSum(a: number, b: number): DoubleDouble {
  const high = a + b;
  const part = high - a;
  return { high, low: a - (high - part) + (b - part) };
}

/** The same where the first is the larger in size. */
function joined(a: number, b: number): DoubleDouble {
  const high = a + b;
  return { high, low: b - (high - a) };
}

function exactProduct(a: number, b: number): DoubleDouble {
  const high = a * b;
  const [a1, a2] = halves(a);
  const [b1, b2] = halves(b);
  return { high, low: a2 * b2 - (high - a1 * b1 - a2 * b1 - a1 * b2) };
}

/** Splits a double into two of half its digits, so that products of halves are exact. */
function halves(a: number): [number, number] {
  const spread = 134217729 * a;
  const high = spread - (spread - a);
  return [high, a - high];
}
