// Two parts in place of one: the pair of preferred values, in series or in parallel, nearest to a value and nearer than a single
// part. Exact. Neither is more than a hundred times the other, whose tolerance would drown it.
import { type Fraction, ratio } from "../base/fraction.js";
import { nearestPreferred, neighbours, preferredBetween, type Series } from "../base/series.js";

/** Two parts that together come close to a value. */
export interface ExactPair {
  readonly wiring: "series" | "parallel";
  /** Larger, then smaller, SI. */
  readonly values: readonly [Fraction, Fraction];
  /** What they make together, SI. */
  readonly together: Fraction;
}

/** The largest ratio of the two values of a pair. */
const apart = ratio(100);

/** The nearest pair whose sizes add and the nearest whose reciprocals add, where they beat the nearest single part. */
export function pairs(value: Fraction, series: Series, addsIn: "series" | "parallel"): ExactPair[] {
  const other = addsIn === "series" ? "parallel" : "series";
  const sum = nearestSum(value, series);
  const joint = nearestJoint(value, series);
  return [
    ...(sum ? [{ wiring: addsIn, ...sum }] : []),
    ...(joint ? [{ wiring: other, ...joint } as const] : []),
  ];
}

type Two = Pick<ExactPair, "values" | "together">;

// a + b, with a from half of the value up to the value.
function nearestSum(value: Fraction, series: Series): Two | undefined {
  const candidates = preferredBetween(value.div(2), value, series).flatMap((a) => {
    const rest = value.sub(a);
    const least = a.div(apart);
    return around(rest.gt(least) ? rest : least, series).map(
      (b): Two => ({ values: ordered(a, b), together: a.add(b) }),
    );
  });
  // Half the value may lie between two preferred values: also try the one below it, doubled or with the one above.
  const half = neighbours(value.div(2), series);
  for (const b of [half.below, half.above])
    candidates.push({ values: ordered(half.below, b), together: half.below.add(b) });
  return nearestOf(candidates, value, series);
}

// ab / (a + b), with the smaller one from just above the value to twice the value.
function nearestJoint(value: Fraction, series: Series): Two | undefined {
  const candidates = preferredBetween(value, value.mul(2), series).flatMap((a) => {
    if (!a.gt(value)) return [];
    const rest = value.mul(a).div(a.sub(value));
    const most = a.mul(apart);
    return around(rest.lt(most) ? rest : most, series).map(
      (b): Two => ({ values: ordered(a, b), together: a.mul(b).div(a.add(b)) }),
    );
  });
  const twice = neighbours(value.mul(2), series);
  for (const b of [twice.below, twice.above])
    candidates.push({
      values: ordered(twice.above, b),
      together: twice.above.mul(b).div(twice.above.add(b)),
    });
  return nearestOf(candidates, value, series);
}

function around(value: Fraction, series: Series): Fraction[] {
  const { below, above } = neighbours(value, series);
  return below.equals(above) ? [below] : [below, above];
}

function ordered(a: Fraction, b: Fraction): readonly [Fraction, Fraction] {
  return a.gte(b) ? [a, b] : [b, a];
}

// The best that is nearer than a single part; among equals the pair of the most similar parts.
function nearestOf(candidates: readonly Two[], value: Fraction, series: Series): Two | undefined {
  let best: Two | undefined;
  let least = nearestPreferred(value, series).sub(value).abs();
  for (const one of candidates) {
    const [large, small] = one.values;
    if (large.gt(small.mul(apart))) continue;
    const off = one.together.sub(value).abs();
    if (off.gt(least) || (off.equals(least) && !best?.values[0].gt(large))) continue;
    best = one;
    least = off;
  }
  return best;
}
