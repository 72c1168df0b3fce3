// Values over a range, both ends included: evenly spaced, at even ratios, or the preferred values in it. Inner values have small
// denominators, below 1e12 or decimals of twelve figures, so that the tick stays coarse. Ratios are computed by multiplication
// and division only, so that they are the same on every machine.
import { type Fraction, ratio, toNumber } from "./fraction.js";
import { asWritten } from "./quantity.js";
import { preferredBetween, type Series } from "./series.js";

/** How values are spread over a range. */
export type Spacing = "linear" | "log" | Series;

/** The decimal of twelve significant figures that is nearest to a double. */
export function decimal(x: number): Fraction {
  return asWritten(Number(x.toPrecision(12)));
}

/**
 * Values from one end of a range to the other.
 * @param count at least 2; a series ignores it
 * @param spacing `log` and the series need a range above zero
 */
export function spaced(from: Fraction, to: Fraction, count: number, spacing: Spacing): Fraction[] {
  if (spacing === "linear") {
    const step = to.sub(from).div(count - 1);
    return Array.from({ length: count }, (_, i) => {
      if (i === 0 || i === count - 1) return i === 0 ? from : to;
      const exact = from.add(step.mul(i));
      return exact.d < 1_000_000_000_000n ? exact : decimal(toNumber(exact));
    });
  }
  if (spacing !== "log") return preferredBetween(from, to, spacing);
  const [low, high] = [toNumber(from), toNumber(to)];
  const each = nthRoot(high / low, count - 1);
  return Array.from({ length: count }, (_, i) => {
    if (i === 0 || i === count - 1) return i === 0 ? from : to;
    return decimal(low * power(each, i));
  });
}

/** The spacing that suits a range: even ratios if it lies above zero and spans more than an octave. */
export function suited(from: Fraction, to: Fraction): "linear" | "log" {
  return from.s > 0n && from.n > 0n && to.gt(from.mul(ratio(2))) ? "log" : "linear";
}

// The n-th root of a number above one, by bisection: `Math.pow` differs in its last bits between engines.
function nthRoot(x: number, n: number): number {
  let low = 1;
  let high = x;
  for (;;) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) return low;
    if (power(middle, n) <= x) low = middle;
    else high = middle;
  }
}

function power(x: number, n: number): number {
  let [result, square] = [1, x];
  for (let left = n; left > 0; left = Math.floor(left / 2)) {
    if (left % 2 === 1) result *= square;
    square *= square;
  }
  return result;
}
