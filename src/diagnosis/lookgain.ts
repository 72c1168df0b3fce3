// The information expected of a look: the entropy of what it may show less that of its own scatter. For a mixture of normal
// variables a lower bound follows from their pairwise distances (A. Kolchinsky, B. D. Tracey, Entropy 19(7), 2017, with
// Bhattacharyya's distance for several readings at once: T. Kailath, IEEE Trans. Commun. Technol. 15, 1967). It is exact where
// the remaining faults show either the same or something far apart. Information on a value's factor alone does not count.
// Entropies of any order for partly similar classes: T. Leinster, C. A. Cobbold, Ecology 93(3), 2012. The first ranking of a
// process has to be quick too, so loops over all ways of all looks go by index, without iterators.
import { exponential, logarithm } from "../base/powers.js";
import type { Foreseen } from "./accused.js";
import { bhattacharyya } from "./splitting.js";
import { factorised, scalarProduct } from "./weighing.js";

/** The ways in which the remaining faults may be present. */
export interface Ways {
  /** By way, the index of its fault. */
  readonly faults: ArrayLike<number>;
  /** By way; they add up to 1. */
  readonly weights: ArrayLike<number>;
}

/** What each way shows in the columns of a look. */
export interface Sighted {
  /** By column, by way; undefined where it is not known, then for all columns of a look. */
  readonly shows: readonly (readonly (Foreseen | undefined)[])[];
  /** By way, the largest value that its trace shows; the instrument's range is set for it. */
  readonly sizes: ArrayLike<number>;
  /** The largest that it shows where nothing has failed: no range is finer than a share of that. */
  readonly usual: number;
}

/** An instrument. */
export interface Instrument {
  /** Its largest error, as a share of what it shows. */
  readonly accuracy: number;
  /** Number of steps up to the largest value present. */
  readonly steps: number;
}

/** The most sensitive range of an instrument, as a share of the widest that a look needs (common practice, no source). */
const finest = 1e-3;
/** Beyond this distance two are certainly told apart, and the distance is not computed. */
const certain = 20;
/**
 * Two are practically the same if they lie closer than this share of a standard deviation and their variances differ by no more.
 */
const close = 0.2;

/** Ways that show the same, or practically the same, merged. */
interface Classes {
  /** By way; -1 where it is not known what it shows. */
  readonly classOf: Int32Array;
  /** By class, by column. */
  readonly values: Float64Array;
  /** By class, the covariance by rows. */
  readonly C: Float64Array;
  /** By class, half of the logarithm of its determinant. */
  readonly sizes: Float64Array;
}

/** What a look tells about which fault it is. */
export interface Gain {
  /** Bits. */
  readonly bits: number;
  /** The same from the entropy of order 3/2. */
  readonly split: number;
}

/** How a look divides the ways in which the remaining faults may be present. */
export interface Division {
  /** How many classes there are. */
  readonly size: number;
  /** By way the class of what it shows; -1 where that is not known. */
  readonly classOf: Int32Array;
  /** By class, by class: how far what they show overlaps, 0 to 1. */
  readonly alike: Float64Array;
}

/** How a look divides the ways, whatever their weights. */
export function divisionOf(sighted: Sighted, instrument: Instrument): Division {
  const found = classesOf(sighted, instrument);
  const size = found.sizes.length;
  return { size, classOf: found.classOf, alike: size < 2 ? new Float64Array(size).fill(1) : overlaps(found) };
}

export function classWeights({ size, classOf }: Division, weights: Ways["weights"]): Float64Array {
  const sums = new Float64Array(size);
  for (let way = 0; way < classOf.length; way++) if (classOf[way] >= 0) sums[classOf[way]] += weights[way];
  return sums;
}

/** What a look tells about which fault it is. @param weights by way; they add up to 1 */
export function gainOf(division: Division, { faults, weights }: Ways): Gain {
  const { size: k, alike } = division;
  if (k < 2) return { bits: 0, split: 0 };
  const together = classWeights(division, weights);
  const live: number[] = [];
  // Where it is not known what a way shows, the reading tells nothing about it.
  let [known, sum, roots] = [0, 0, 0];
  for (let i = 0; i < k; i++) {
    if (together[i] === 0) continue;
    known += together[i];
    live.push(i);
  }
  if (live.length < 2) return { bits: 0, split: 0 };
  for (const i of live) {
    let like = 0;
    for (const j of live) like += together[j] * alike[i * k + j];
    sum -= together[i] * logarithm(like / known);
    roots += (together[i] / known) * Math.sqrt(like / known);
  }
  const split = -2 * known * logarithm(roots);
  // The ways of one fault stand in a row, and need not be told apart.
  let within = 0;
  for (let from = 0, to = 0; from < faults.length; from = to) {
    while (to < faults.length && faults[to] === faults[from]) to++;
    within += withinFault(from, to, weights, division);
  }
  return { bits: Math.max(0, (sum + within) / Math.LN2), split: Math.max(0, (split + within) / Math.LN2) };
}

/** What a look tells about which way of one fault it is; not above zero. */
function withinFault(
  from: number,
  to: number,
  weights: Ways["weights"],
  { size, classOf, alike }: Division,
): number {
  if (to - from < 2) return 0;
  let [all, sum] = [0, 0];
  for (let a = from; a < to; a++) if (classOf[a] >= 0) all += weights[a];
  for (let a = from; a < to; a++) {
    let like = 0;
    for (let b = from; b < to; b++)
      if (classOf[a] >= 0 && classOf[b] >= 0) like += weights[b] * alike[classOf[a] * size + classOf[b]];
    if (like > 0 && weights[a] > 0) sum += weights[a] * logarithm(like / all);
  }
  return sum;
}

/** What the ways of a look show, before those that show practically the same are merged. */
interface Flat {
  readonly n: number;
  /** By way, by column: what it shows, and the variance of that. */
  readonly values: Float64Array;
  readonly variances: Float64Array;
}

function classesOf(sighted: Sighted, instrument: Instrument): Classes {
  const { shows } = sighted;
  const { leaders, leaderOf } = leadersOf(sighted);
  const flat = flatOf(sighted, leaders, instrument);
  const { n, values, variances } = flat;
  // Values that do not occur come last.
  const first = Float64Array.from(leaders, (_, k) =>
    Number.isNaN(values[k * n]) ? Number.MAX_VALUE : values[k * n],
  );
  /** The first of each class. */
  const heads: number[] = [];
  const inClass = new Int32Array(leaders.length);
  for (const one of [...leaders.keys()].sort((a, b) => first[a] - first[b])) {
    const from = first[one] - close * Math.sqrt(variances[one * n]);
    let same = heads.length - 1;
    while (same >= 0 && first[heads[same]] >= from && !asGood(flat, one, heads[same])) same--;
    if (same < 0 || first[heads[same]] < from) same = heads.push(one) - 1;
    inClass[one] = same;
  }
  const classOf = leaderOf.map((one) => (one < 0 ? -1 : inClass[one]));
  const C = new Float64Array(heads.length * n * n);
  const room = new Float64Array(n * n);
  const sizes = Float64Array.from(heads, (one, k) => {
    const whole = C.subarray(k * n * n, (k + 1) * n * n);
    scatter(whole, shows, { way: leaders[one], variances: variances.subarray(one * n, (one + 1) * n) });
    room.set(whole);
    return factorised(room, n);
  });
  const shown = Float64Array.from(
    { length: heads.length * n },
    (_, i) => values[heads[Math.floor(i / n)] * n + (i % n)],
  );
  return { classOf, values: shown, C, sizes };
}

/** One way for all that show the very same, as most beyond a fault's reach do; by way the index of that one, -1 if unknown. */
function leadersOf({ shows, sizes }: Sighted): { leaders: number[]; leaderOf: Int32Array } {
  const [first] = shows;
  const leaders: number[] = [];
  const leaderOf = new Int32Array(first.length).fill(-1);
  const found = new Map<Foreseen, number>();
  for (let way = 0; way < first.length; way++) {
    const one = first[way];
    if (!one) continue;
    const known = found.get(one);
    const leader = leaders[known ?? -1];
    if (
      known !== undefined &&
      sizes[leader] === sizes[way] &&
      shows.every((column) => column[leader] === column[way])
    ) {
      leaderOf[way] = known;
      continue;
    }
    found.set(one, leaders.length);
    leaderOf[way] = leaders.length;
    leaders.push(way);
  }
  return { leaders, leaderOf };
}

function flatOf(
  { shows, sizes, usual }: Sighted,
  ways: readonly number[],
  { accuracy, steps }: Instrument,
): Flat {
  const n = shows.length;
  let widest = usual;
  for (const way of ways) if (sizes[way] > widest) widest = sizes[way];
  const [values, variances] = [new Float64Array(n * ways.length), new Float64Array(n * ways.length)];
  for (let i = 0; i < n; i++)
    for (let k = 0; k < ways.length; k++) {
      const way = ways[k];
      const { value, spread, doubt } = shows[i][way]!;
      const step = Math.max(sizes[way], finest * widest) / steps;
      let shared = 0;
      for (let t = 0; t < spread.length; t++) shared += spread[t] * spread[t];
      const least = 1e-12 * (value * value + shared) + 1e-24;
      const own = (step * step) / 12 + (accuracy * value) ** 2 / 3 + doubt * doubt + least;
      values[k * n + i] = value;
      // A value that does not occur has no scatter.
      variances[k * n + i] = Number.isNaN(value) ? 1 : shared + own;
    }
  return { n, values, variances };
}

function asGood({ n, values, variances }: Flat, a: number, b: number): boolean {
  for (let i = 0; i < n; i++) {
    const apart = values[a * n + i] - values[b * n + i];
    if (Number.isNaN(apart) && Number.isNaN(values[a * n + i]) !== Number.isNaN(values[b * n + i]))
      return false;
    const [v, w] = [variances[a * n + i], variances[b * n + i]];
    const least = Math.min(v, w);
    if (apart * apart > close * close * least || Math.abs(v - w) > close * least) return false;
  }
  return true;
}

/** The covariance of what a way shows. */
function scatter(
  C: Float64Array,
  shows: Sighted["shows"],
  { way, variances }: { readonly way: number; readonly variances: Float64Array },
): void {
  const n = variances.length;
  for (let i = 0; i < n; i++) {
    const one = shows[i][way]!;
    C[i * n + i] = variances[i];
    for (let j = 0; j < i; j++) {
      const other = shows[j][way]!;
      if (!Number.isNaN(one.value + other.value))
        C[i * n + j] = C[j * n + i] = scalarProduct(one.spread, other.spread);
    }
  }
}

/** exp(−Bhattacharyya's distance) of classes in pairs; a value that does not occur is distinct from any that does. */
function overlaps({ values, C, sizes }: Classes): Float64Array {
  const k = sizes.length;
  const n = values.length / k;
  const found = new Float64Array(k * k);
  const [apart, along, middle] = [new Float64Array(n), new Float64Array(n), new Float64Array(n * n)];
  for (let i = 0; i < k; i++) {
    found[i * k + i] = 1;
    for (let j = 0; j < i; j++) {
      for (let m = 0; m < middle.length; m++) middle[m] = (C[i * n * n + m] + C[j * n * n + m]) / 2;
      for (let m = 0; m < n; m++) apart[m] = distance(values[i * n + m], values[j * n + m]);
      if (!near(apart, middle)) continue;
      const far = bhattacharyya(apart, middle, (sizes[i] + sizes[j]) / 2, along);
      found[i * k + j] = found[j * k + i] = exponential(-far);
    }
  }
  return found;
}

/** The distance of two values, infinite if only one of them occurs. */
function distance(a: number, b: number): number {
  const lost = Number.isNaN(a);
  if (lost !== Number.isNaN(b)) return Number.POSITIVE_INFINITY;
  return lost ? 0 : a - b;
}

/** Whether no single reading tells two apart for certain. @param middle the mean of their covariances */
function near(apart: Float64Array, middle: Float64Array): boolean {
  const n = apart.length;
  for (let i = 0; i < n; i++) if (apart[i] * apart[i] > 8 * certain * middle[i * n + i]) return false;
  return true;
}
