// What a look is expected to tell: the entropy of what it may show less that of its own scatter. Of a mixture of normal variables that
// is bounded from below by their distances in pairs (A. Kolchinsky, B. D. Tracey, Entropy 19(7), 2017, with Bhattacharyya's distance
// for several readings at once: T. Kailath, IEEE Trans. Commun. Technol. 15, 1967): exactly the entropy of the classes where those left
// either show the same or lie far apart. What a look tells of a value's factor alone does not count.
import { exponential, logarithm } from "../base/powers.js";
import type { Foreseen } from "./accused.js";
import { bhattacharyya, type Scattered } from "./splitting.js";
import { factorised, scalarProduct } from "./weighing.js";

/** The ways in which those left may be there, and what each shows in the columns of a look. */
export interface Sighted {
  /** By way, the number of its fault. */
  readonly faults: ArrayLike<number>;
  /** By way; they add up to 1. */
  readonly weights: ArrayLike<number>;
  /** By column, by way; undefined where that is not known, of all columns of a look or of none. */
  readonly shows: readonly (readonly (Foreseen | undefined)[])[];
  /** By way, the largest that its trace shows, which an instrument is set for. */
  readonly sizes: ArrayLike<number>;
}

/** An instrument. */
export interface Instrument {
  /** The most it is off, as a share of what it shows. */
  readonly accuracy: number;
  /** Steps in which it shows the largest that is there. */
  readonly steps: number;
}

/** The most sensitive range of an instrument, as a share of the widest that a look needs (common practice, no source). */
const finest = 1e-3;
/** Distances beyond this are no longer reckoned: what lies farther apart is told apart for certain. */
const certain = 20;
/** What lies closer than this share of a standard deviation, with as much scatter but for this share, is as good as the same. */
const close = 0.2;

/** Ways that show the same, or as good as that. */
interface Class extends Scattered {
  weight: number;
  /** The ways. */
  readonly ways: number[];
  readonly values: Float64Array;
}

/** Bits that a look tells of which fault it is. */
export function gainOf(sighted: Sighted, instrument: Instrument): number {
  const { faults, weights } = sighted;
  const classes = classesOf(sighted, instrument);
  const k = classes.length;
  if (k < 2) return 0;
  const alike = overlaps(classes);
  // Where it is not known what one shows, the reading tells nothing of it.
  let known = 0;
  for (const { weight } of classes) known += weight;
  let sum = 0;
  const parts = new Map<number, Map<number, number>>();
  for (const [i, { weight, ways }] of classes.entries()) {
    let like = 0;
    for (let j = 0; j < k; j++) like += classes[j].weight * alike[i * k + j];
    sum -= weight * logarithm(like / known);
    for (const way of ways) {
      const own = parts.get(faults[way]) ?? new Map<number, number>();
      own.set(i, (own.get(i) ?? 0) + weights[way]);
      parts.set(faults[way], own);
    }
  }
  for (const own of parts.values()) {
    if (own.size === 1) continue;
    let all = 0;
    for (const part of own.values()) all += part;
    for (const [i, part] of own) {
      let like = 0;
      for (const [j, other] of own) like += other * alike[i * k + j];
      sum += part * logarithm(like / all);
    }
  }
  return Math.max(0, sum / Math.LN2);
}

/** What is known of the ways of a look, before those that show the same are put together. */
interface Flat {
  readonly n: number;
  /** By way, by column: what it shows, and the variance of that. */
  readonly values: Float64Array;
  readonly variances: Float64Array;
}

function classesOf(sighted: Sighted, instrument: Instrument): Class[] {
  const { weights, shows } = sighted;
  const flat = flatOf(sighted, instrument);
  const { n, values } = flat;
  // What does not occur comes last.
  const first = (way: number) => {
    const value = values[way * n];
    return Number.isNaN(value) ? Number.MAX_VALUE : value;
  };
  const known = [...shows[0].keys()].filter((way) => shows[0][way]);
  const kept: Class[] = [];
  for (const way of known.sort((a, b) => first(a) - first(b))) {
    const from = first(way) - close * Math.sqrt(flat.variances[way * n]);
    let same: Class | undefined;
    for (let k = kept.length - 1; k >= 0 && first(kept[k].ways[0]) >= from && !same; k--)
      if (asGood(flat, way, kept[k].ways[0])) same = kept[k];
    if (!same) kept.push({ ...scatterOf(shows, flat, way), weight: weights[way], ways: [way] });
    else {
      same.weight += weights[way];
      same.ways.push(way);
    }
  }
  return kept;
}

function flatOf({ shows, sizes }: Sighted, { accuracy, steps }: Instrument): Flat {
  const n = shows.length;
  const count = shows[0].length;
  let widest = 0;
  for (let way = 0; way < count; way++) if (shows[0][way] && sizes[way] > widest) widest = sizes[way];
  const [values, variances] = [new Float64Array(n * count), new Float64Array(n * count)];
  for (const [i, column] of shows.entries())
    for (let way = 0; way < count; way++) {
      const one = column[way];
      if (!one) continue;
      const { value, spread, doubt } = one;
      const step = Math.max(sizes[way], finest * widest) / steps;
      let shared = 0;
      for (let k = 0; k < spread.length; k++) shared += spread[k] * spread[k];
      const least = 1e-12 * (value * value + shared) + 1e-24;
      const own = (step * step) / 12 + (accuracy * value) ** 2 / 3 + doubt * doubt + least;
      values[way * n + i] = value;
      // What does not occur has no scatter.
      variances[way * n + i] = Number.isNaN(value) ? 1 : shared + own;
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

function scatterOf(
  shows: Sighted["shows"],
  { n, values, variances }: Flat,
  way: number,
): Pick<Class, "values" | "C" | "size"> {
  const C = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const one = shows[i][way]!;
    C[i * n + i] = variances[way * n + i];
    for (let j = 0; j < i; j++) {
      const other = shows[j][way]!;
      if (!Number.isNaN(one.value + other.value))
        C[i * n + j] = C[j * n + i] = scalarProduct(one.spread, other.spread);
    }
  }
  return { values: values.slice(way * n, (way + 1) * n), C, size: factorised(C.slice(), n) };
}

/** e to the minus Bhattacharyya's distances of classes in pairs; what does not occur is told from all that does. */
function overlaps(classes: readonly Class[]): Float64Array {
  const k = classes.length;
  const n = classes[0].values.length;
  const found = new Float64Array(k * k);
  const apart = new Float64Array(n);
  const room = { middle: new Float64Array(n * n), along: new Float64Array(n) };
  for (let i = 0; i < k; i++) {
    found[i * k + i] = 1;
    for (let j = 0; j < i; j++)
      if (near(classes[i], classes[j], apart))
        found[i * k + j] = found[j * k + i] = exponential(
          -bhattacharyya(apart, classes[i], classes[j], room),
        );
  }
  return found;
}

/** Whether two are not told apart for certain by one reading alone. @param apart is given how far they are */
function near(a: Class, b: Class, apart: Float64Array): boolean {
  const n = apart.length;
  for (let i = 0; i < n; i++) {
    const [one, two] = [a.values[i], b.values[i]];
    const lost = Number.isNaN(one);
    if (lost !== Number.isNaN(two)) return false;
    apart[i] = lost ? 0 : one - two;
    if (apart[i] * apart[i] > 4 * certain * (a.C[i * n + i] + b.C[i * n + i])) return false;
  }
  return true;
}
