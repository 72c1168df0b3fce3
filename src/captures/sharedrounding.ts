// Rounding to the steps of a digital scale is no noise: samples of the same fraction of a step share its error. On a ramp over many
// steps the errors cancel, but an edge that is sampled at the same places in each period is seen once, not as often as it comes, and
// so is a level. Noise that is as large as a step blurs this. What is rounded is a periodic function of the value: over chance
// fractions of a step the errors at two values correlate by a Fourier series in their distance, whose terms normal noise damps
// (B. Widrow & I. Kollár, Quantization Noise, 2008, chapter 9; from memory). Each term moves the fitted values by a fit of its own.
// Where the shared part would make an interval narrower, it stays as it is: that holds only for a scale whose steps are all equal.
import { Matrix, pseudoInverse } from "ml-matrix";
import type { EstimatedValue } from "./estimate.js";
import {
  deviationOf,
  type FitSubject,
  leastScatter,
  missesOf,
  type PlacedCapture,
  type WeighedFit,
} from "./fitting.js";
import { stepOf } from "./layover.js";

/** Terms of the series: those that are left out are a fiftieth of the variance. */
const terms = 32;
/** A term of less than this share of the first one without noise is left out. */
const least = 1e-3;
/** Slopes are taken over this share of a standard uncertainty. */
const stride = 0.3;

/** The values with intervals that hold what samples share of their rounding errors. They never get narrower. */
export function roundedOff(
  subject: FitSubject,
  placed: readonly PlacedCapture[],
  found: WeighedFit,
  values: readonly EstimatedValue[],
): EstimatedValue[] {
  const shared = placed.map((one, k) => variancesOf(one, deviationOf(found, placed, k)));
  if (shared.every((of) => of.length === 0)) return [...values];
  const { estimate } = found;
  const x = estimate.values.map((one) => one.value);
  const misses = missesOf(subject, placed, found);
  const known = ({ uncertainty }: EstimatedValue) => uncertainty > 0 && Number.isFinite(uncertainty);
  const free = estimate.values.flatMap((one, i) => (known(one) ? [i] : []));
  // For a change of each by its standard uncertainty.
  const slopes = free.map((i) => {
    const at = (share: number) =>
      misses(x.map((v, k) => (k === i ? v + share * estimate.values[i].uncertainty : v)));
    const [under, over] = [at(-stride), at(stride)];
    return over.map((v, k) => (v - under[k]) / (2 * stride));
  });
  if (slopes.some((of) => of.some(Number.isNaN))) return [...values];
  const inverse = pseudoInverse(new Matrix(slopes.map((a) => slopes.map((b) => dot(a, b)))));
  // Squares of standard uncertainties: what is left of the scatter when its shared part is taken out, and that part.
  const squares = free.map((_, i) => inverse.get(i, i) * estimate.deviation ** 2);
  let from = 0;
  placed.forEach((one, k) => {
    const weighed = one.value.map((_, i) => found.weights[k] * (found.factors?.[k]?.[i] ?? 1));
    const run = one.value.map((v, i) => v + estimate.misses[from + i] / weighed[i]);
    const own = slopes.map((of) => of.subarray(from, from + run.length).map((v, i) => v * weighed[i]));
    const alone = inverse.mmul(new Matrix(own.map((a) => own.map((b) => dot(a, b))))).mmul(inverse);
    shared[k].forEach((variance, term) => {
      const turn = (2 * Math.PI * (term + 1)) / stepOf(one.held);
      for (const wave of [Math.cos, Math.sin]) {
        const shape = run.map((v) => wave(turn * v));
        const moved = inverse.mmul(Matrix.columnVector(own.map((of) => dot(of, shape))));
        free.forEach((_, i) => {
          squares[i] += variance * moved.get(i, 0) ** 2;
        });
      }
      free.forEach((_, i) => {
        squares[i] -= variance * alone.get(i, i);
      });
    });
    from += run.length;
  });
  const wider = new Map(free.map((i, k) => [i, Math.sqrt(Math.max(squares[k], 1))]));
  return values.map((one, i) => widened(one, wider.get(i) ?? 1));
}

/** Variances of the terms of a capture's rounding errors; none where noise blurs the steps. */
function variancesOf(one: PlacedCapture, deviation: number): number[] {
  const step = stepOf(one.held);
  if (!(step > 0)) return [];
  const noise = Math.max(deviation ** 2 - leastScatter(one) ** 2, 0) / step ** 2;
  return Array.from({ length: terms }, (_, k) => {
    const turns = 2 * Math.PI * (k + 1);
    return (2 * step ** 2 * Math.exp(-(turns ** 2) * noise)) / turns ** 2;
  }).filter((v) => v > (least * step ** 2) / 20);
}

function widened(one: EstimatedValue, by: number): EstimatedValue {
  const { value, uncertainty, interval } = one;
  if (!(by > 1)) return one;
  const low = value - by * (value - interval.low);
  const high = value + by * (interval.high - value);
  return { ...one, uncertainty: by * uncertainty, interval: { low, high } };
}

function dot(a: Float64Array, b: Float64Array): number {
  return a.reduce((sum, v, k) => sum + v * b[k], 0);
}
