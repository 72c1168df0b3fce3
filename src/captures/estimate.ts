// Estimates values from samples, with their uncertainties: the guide to the expression of uncertainty (JCGM 100:2008).
// From a function that gives the residuals (misses) of all samples it makes each value with its standard uncertainty, its
// interval of 95 %, the correlations, and the values that the samples cannot tell apart. What is not known is infinite or NaN,
// never a number that looks like knowledge.
import { Matrix, SingularValueDecomposition } from "ml-matrix";
import { refusal } from "../base/diagnostic.js";
import { type Fitted, leastSquares, type Slopes } from "../sizing/leastsquares.js";
import { coverageFactor } from "./student.js";

/** What to estimate. */
export interface Estimation {
  readonly names: readonly string[];
  readonly start: readonly number[];
  readonly low: readonly number[];
  readonly high: readonly number[];
  /** Model less sample, for every sample; NaN if the model gives no value. */
  readonly misses: (x: readonly number[]) => ArrayLike<number>;
  /** The least standard deviation of a miss, e.g. that of a digital scale; none unless given. */
  readonly leastDeviation?: number;
  /** The size of each value, by which its changes are scaled; its own magnitude unless given. */
  readonly sizes?: readonly (number | undefined)[];
  /** How slopes are taken. */
  readonly slopes?: Slopes;
  /** A step that would move no value by more than this share of its standard uncertainty is not tried; 0 unless given. */
  readonly near?: number;
  /** The least damping, so that directions known far worse than others are not followed. */
  readonly leastDamping?: number;
}

/** An estimated value. SI units. */
export interface EstimatedValue {
  /** Its full name. */
  readonly name: string;
  /** The estimate. */
  readonly value: number;
  /** Standard uncertainty; infinite if the samples do not determine the value, NaN if it is at an end of its range. */
  readonly uncertainty: number;
  /** The interval that holds the value in 95 % of cases, by Student's t. */
  readonly interval: {
    /** Its lower end. */
    readonly low: number;
    /** Its upper end. */
    readonly high: number;
  };
  /** True if the best value is at an end of its range: the true one may lie beyond. */
  readonly atEnd: boolean;
}

/** Values that the samples determine only in combination, or not at all. */
export interface Inseparable {
  /** Their names; a single one has no effect of its own. */
  readonly values: readonly string[];
  /** How they can move together unnoticed: shares of themselves, the largest being 1. */
  readonly shares: readonly number[];
  /** Standard uncertainty along that direction, as a share of the values: 1 is 100 %. */
  readonly uncertainty: number;
  /** The same in words. */
  readonly text: string;
}

/** The result of an estimation. */
export interface Estimate {
  /** In the order given. */
  readonly values: readonly EstimatedValue[];
  /** Correlation coefficients by value in rows and columns; NaN beside a value whose uncertainty is not finite. */
  readonly correlation: readonly (readonly number[])[];
  /** Standard deviation of a miss, from the samples. */
  readonly deviation: number;
  /** Degrees of freedom: samples less values. */
  readonly freedom: number;
  /** Sum of the squared misses. */
  readonly sum: number;
  /** The remaining misses. */
  readonly misses: ArrayLike<number>;
  /** Singular values of the slopes, for a change of each value by itself, in standard deviations; the largest first. */
  readonly singular: readonly number[];
  /** The values that these samples cannot tell apart; empty if they determine all. */
  readonly inseparable: readonly Inseparable[];
  /** False if the fit did not converge in the rounds allowed. */
  readonly settled: boolean;
}

/** A direction with an uncertainty above half of the values counts as not determined. */
const unknownFrom = 0.5;
/** A value takes part in a direction if its entry is at least this share of the largest. */
const partFrom = 0.1;

/** Slopes for closed forms: at the cube root of a double's precision, errors of rounding and of curvature balance. */
const fine: Slopes = { stride: 6e-6, central: true, noise: 1e-8 };

/**
 * Estimates values by damped least squares.
 * @throws DesignError `too-few-samples` if there are no more samples than values, `no-start` if the model gives nothing at the
 * values it starts from
 */
export function estimate(estimation: Estimation): Estimate {
  const { names, start, low, high, misses, slopes = fine, near = 0, leastDamping } = estimation;
  const count = misses(start).length;
  const freedom = count - names.length;
  if (freedom < 1)
    throw refusal(
      "too-few-samples",
      `${names.length} values cannot be estimated from ${count} samples`,
      "capture more samples, or ask for fewer values",
    );
  // A step of one standard uncertainty changes the sum by one part in the degrees of freedom.
  const worth = near ** 2 / freedom;
  const fitted = leastSquares(
    { misses, low, high, small: 0, accuracy: 1e-11, slopes, worth, leastDamping, rounds: 200 },
    start,
  );
  if (!fitted) throw refusal("no-start", "with the values to start from the model shows nothing to compare");
  const deviation = Math.sqrt((2 * fitted.cost) / freedom);
  const known = knowledge(estimation, fitted, Math.max(deviation, estimation.leastDeviation ?? 0), slopes);
  const factor = coverageFactor(freedom);
  return {
    values: names.map((name, i) => {
      const value = fitted.x[i];
      const uncertainty = known.uncertainties[i];
      const half = factor * uncertainty;
      return {
        name,
        value,
        uncertainty,
        interval: { low: value - half, high: value + half },
        atEnd: value <= low[i] || value >= high[i],
      };
    }),
    correlation: known.correlation,
    deviation,
    freedom,
    sum: 2 * fitted.cost,
    misses: fitted.misses,
    singular: known.singular,
    inseparable: known.inseparable,
    settled: fitted.settled,
  };
}

interface Knowledge {
  readonly held: readonly boolean[];
  readonly uncertainties: readonly number[];
  readonly correlation: number[][];
  readonly singular: readonly number[];
  readonly inseparable: readonly Inseparable[];
}

/**
 * How well the slopes determine the values, by their singular values: with R V = U S the covariance is s² V S⁻² Vᵀ (JCGM
 * 100:2008, H.3.2, for a straight line; JCGM 102:2011 for several values). A direction whose singular value is lost in the
 * noise of the slopes is not determined at all.
 */
function knowledge(
  { names, low, high, sizes: given }: Estimation,
  { x, triangle }: Fitted,
  deviation: number,
  { noise }: Slopes,
): Knowledge {
  const sizes = x.map((v, i) => (given?.[i] ?? Math.abs(v)) || high[i] - low[i]);
  const scaled = triangle
    .clone()
    .mulRowVector(sizes)
    .div(deviation || Number.MIN_VALUE);
  const all = directionsOf(scaled, noise);
  const inseparable = all.flatMap(({ direction, uncertainty }) =>
    uncertainty > unknownFrom ? [inseparableOf(direction, names, uncertainty)] : [],
  );
  // A value that nothing determines may be anywhere, also at an end; any other at an end is held there by the samples.
  const held = x.map(
    (v, i) => (v <= low[i] || v >= high[i]) && !inseparable.some((one) => one.values.includes(names[i])),
  );
  const free = names.flatMap((_, i) => (held[i] ? [] : [i]));
  const uncertainties = names.map(() => Number.NaN);
  const correlation = names.map((_, i) => names.map((_, k) => (i === k ? 1 : Number.NaN)));
  const singular = all.map(({ uncertainty }) => 1 / uncertainty);
  if (free.length === 0) return { held, uncertainties, correlation, singular, inseparable };
  const covariance = Matrix.zeros(free.length, free.length);
  const lost = free.map(() => false);
  for (const { direction, uncertainty } of directionsOf(scaled.subMatrixColumn(free), noise)) {
    const column = Matrix.columnVector(direction);
    if (Number.isFinite(uncertainty)) covariance.add(column.mmul(column.transpose()).mul(uncertainty ** 2));
    else for (const [a, part] of direction.entries()) if (takesPart(part, direction)) lost[a] = true;
  }
  free.forEach((i, a) => {
    uncertainties[i] = lost[a] ? Number.POSITIVE_INFINITY : Math.sqrt(covariance.get(a, a)) * sizes[i];
    free.forEach((k, b) => {
      if (a === b || lost[a] || lost[b]) return;
      correlation[i][k] = covariance.get(a, b) / Math.sqrt(covariance.get(a, a) * covariance.get(b, b));
    });
  });
  return { held, uncertainties, correlation, singular, inseparable };
}

/** A way in which values can move together, and its standard uncertainty as a share of them. */
interface Direction {
  readonly direction: readonly number[];
  readonly uncertainty: number;
}

/** Directions of slopes in standard deviations, best known first; one that is lost in their noise has no finite uncertainty. */
function directionsOf(slopes: Matrix, noise: number): Direction[] {
  const { diagonal, rightSingularVectors } = new SingularValueDecomposition(slopes);
  return diagonal.map((s, k) => ({
    direction: rightSingularVectors.getColumn(k),
    uncertainty: s > 0 && s > noise * diagonal[0] ? 1 / s : Number.POSITIVE_INFINITY,
  }));
}

function takesPart(part: number, direction: readonly number[]): boolean {
  return Math.abs(part) >= partFrom * Math.max(...direction.map(Math.abs));
}

function inseparableOf(
  direction: readonly number[],
  names: readonly string[],
  uncertainty: number,
): Inseparable {
  const parts = direction.flatMap((part, i) => (takesPart(part, direction) ? [i] : []));
  const largest = parts.reduce((a, b) => (Math.abs(direction[b]) > Math.abs(direction[a]) ? b : a));
  const values = parts.map((i) => names[i]);
  const shares = parts.map((i) => direction[i] / direction[largest]);
  const known = Number.isFinite(uncertainty)
    ? `to no better than ${Math.round(100 * uncertainty)} %`
    : "not at all";
  if (values.length === 1)
    return { values, shares, uncertainty, text: `these captures tell '${values[0]}' ${known}` };
  const listed = `${values
    .slice(0, -1)
    .map((v) => `'${v}'`)
    .join(", ")} and '${values.at(-1)}'`;
  const together = values
    .map((v, k) => `'${v}' ${shares[k] < 0 ? "down" : "up"} by ${Math.abs(shares[k]).toPrecision(2)} %`)
    .join(" with ");
  const text = `these captures tell ${listed} apart ${known}: ${together} shows next to nothing`;
  return { values, shares, uncertainty, text };
}
