// How likely readings are under one fault. The model: a reading is what the table shows for that fault, plus the effect of each
// toleranced value times a normal variable that all readings share, plus the table's own error, the instrument's accuracy and its
// resolution, the last two with the variance of a rectangle (JCGM 100:2008, 4.3.7). So the readings are jointly normal, with
// covariance C = Σ s sᵀ + diagonal. For a value that is off the likelihood is the mean over its factor, uniform on a logarithmic
// scale. Between two factors that were run the readings move linearly, which has a closed form (half of the probability); or each
// bends where a part comes to its limit, a guard that begins to conduct, and lies anywhere between (a fourth); or, as where a
// sync is lost on the way, all stay as at one of them (a fourth). Beyond the farthest factor it goes on to what the part becomes
// when its value is off by ever more. Taking that mean keeps a fault that could show anything from explaining everything (D. J.
// C. MacKay, Neural Computation 4(3), 1992).
import { exponential, logarithm } from "../base/powers.js";
import { normalShare } from "../spread/normal.js";
import { type Accused, between, type Expectations, type Foreseen, nearestEnd } from "./accused.js";
import type { TakenReading } from "./readings.js";
import { scalarProduct, weighed } from "./weighing.js";

/** Readings judged under one possible fault. */
export interface Judged {
  readonly accused: Accused;
  /** Natural logarithm of the likelihood, up to a constant common to all. */
  readonly likelihood: number;
  /** The same at the best factor. */
  readonly top: number;
  /** Square of the distance in standard deviations, at the best factor. */
  readonly misfit: number;
  /** How many readings are known there. */
  readonly known: number;
  /** The best linear piece, and the place in it, 0 to 1. */
  readonly piece: number;
  readonly share: number;
  /** All places that are possible, with the best of each piece: one for each piece, with weights that add up to 1. */
  readonly ways: readonly FaultWay[];
}

/** One way in which an accused may be at fault: a value near a factor. */
export interface FaultWay {
  readonly piece: number;
  readonly share: number;
  readonly weight: number;
}

/** How far a curve may be off the linear piece, as a share of its rise. */
const bent = 0.05;
/** Logarithm of the smallest factor by which a value counts as off: a nearer one may pass for sound. */
const leastOff = Math.log(1.3);
/** The zero offset of an instrument, as a share of what it should read (common practice, no source). */
const offset = 1e-4;
/** The misfit of a reading of something that does not occur: as unlikely as seven standard deviations. */
const impossible = 50;

/** How readings are compared with predictions. */
interface Comparing {
  readonly accuracy: number;
  readonly widths: readonly number[];
  readonly sizes: readonly number[];
}

/** Readings on a piece between two factors. */
type Piece = Omit<Judged, "accused" | "piece" | "ways">;

/** The readings that an accused is judged by, as numbers. */
interface Compared {
  readonly distance: number[];
  readonly rise: number[];
  readonly spread: (readonly number[])[];
  readonly variance: number[];
  readonly lost: number;
  readonly unknown: number;
}

/**
 * Judges one possible fault.
 * @param accuracy the instrument's largest error, as a share of what it shows
 * @param widths by reading, the range of values in the table: where nothing is known the reading may be anywhere in it
 * @param sizes by reading, what the sound design shows
 */
export function judged(
  accused: Accused,
  expectations: Expectations,
  readings: readonly TakenReading[],
  how: Comparing,
): Judged {
  const { nodes, places } = accused;
  const seen = (k: number) => readings.map((r) => expectations.at(accused, k, r.column));
  if (nodes.length === 1) {
    const found = pieceOf(compared(readings, seen(0), seen(0), how), false);
    return { accused, ...found, piece: 0, share: 0.5, ways: [{ piece: 0, share: 0.5, weight: 1 }] };
  }
  // The first piece starts where a value counts as off, and the last goes beyond what was run.
  const from = Math.min(0.5, leastOff / Math.abs(places[1]));
  const shown = [...nodes.keys(), nodes.length].map(seen);
  // What bends on the way may be there as it should be still.
  const [sound] = shown;
  shown[0] = shown[0].map((a, i) => between(a, shown[1][i], from));
  const lengths = nodes.map((_, i) =>
    Math.abs((places[i + 1] ?? places[i] + logarithm(nearestEnd)) - places[i]),
  );
  lengths[0] *= 1 - from;
  const total = lengths.reduce((sum, length) => sum + length, 0);
  const stands = shown.map((at) => pieceOf(compared(readings, at, at, how), false));
  const pieces = nodes.map((_, piece) => {
    const goes = pieceOf(compared(readings, shown[piece], shown[piece + 1], how), true);
    const begins = piece === 0 ? from : 0;
    const part = (one: Piece, weight: number, share: number) => ({
      ...one,
      piece,
      share: begins + (1 - begins) * share,
      likelihood: one.likelihood + logarithm((weight * lengths[piece]) / total),
    });
    const start = piece === 0 ? sound : shown[piece];
    const bends = pieceOf(strayed(compared(readings, start, shown[piece + 1], how)), false);
    return [
      part(goes, 1 / 2, goes.share),
      part(bends, 1 / 4, 0.5),
      part(stands[piece], 1 / 8, 0),
      part(stands[piece + 1], 1 / 8, 1),
    ];
  });
  const best = likeliest(pieces.flat());
  const sumOf = (all: readonly Piece[]) =>
    all.reduce((sum, one) => sum + exponential(one.likelihood - best.likelihood), 0);
  const sum = sumOf(pieces.flat());
  return {
    accused,
    ...best,
    top: Math.max(...pieces.flat().map((one) => one.top)),
    likelihood: best.likelihood + logarithm(sum),
    ways: pieces.map((parts) => {
      const { piece, share } = likeliest(parts);
      return { piece, share, weight: sumOf(parts) / sum };
    }),
  };
}

function likeliest<T extends Piece>(all: readonly T[]): T {
  return all.reduce((most, one) => (one.likelihood > most.likelihood ? one : most));
}

function compared(
  readings: readonly TakenReading[],
  from: readonly (Foreseen | undefined)[],
  to: readonly (Foreseen | undefined)[],
  { accuracy, widths, sizes }: Comparing,
): Compared {
  const found: Compared = { distance: [], rise: [], spread: [], variance: [], lost: 0, unknown: 0 };
  let [lost, unknown] = [0, 0];
  for (const [i, { value, resolution }] of readings.entries()) {
    const [a, b] = [from[i], to[i]];
    if (!a || !b) unknown += logarithm(widths[i]);
    else if (Number.isNaN(a.value + b.value)) lost++;
    else {
      const rise = b.value - a.value;
      const shown = resolution ** 2 / 12 + (accuracy * value) ** 2 / 3 + (offset * sizes[i]) ** 2;
      found.distance.push(value - a.value);
      found.rise.push(rise);
      const spread = a.spread.map((s, k) => (s + (b.spread[k] ?? s)) / 2);
      found.spread.push(spread);
      // Keeps the matrix regular where readings agree to the last digit.
      const least = (1e-6 * widths[i]) ** 2 + 1e-12 * spread.reduce((sum, s) => sum + s * s, 0);
      found.variance.push(shown + (bent * rise) ** 2 + (a.doubt ** 2 + b.doubt ** 2) / 2 + least);
    }
  }
  return { ...found, lost, unknown };
}

/**
 * Each reading by itself anywhere between what both ends show: within that stretch the density of a rectangle, 1 over its length;
 * outside, as far off as from the nearer end.
 */
function strayed(found: Compared): Compared {
  const distance: number[] = [];
  const variance: number[] = [];
  let { unknown } = found;
  for (const [i, rise] of found.rise.entries()) {
    const d = found.distance[i];
    const own = found.variance[i] - (bent * rise) ** 2;
    const outside = d - Math.min(Math.max(d, Math.min(0, rise)), Math.max(0, rise));
    distance.push(outside);
    // A normal variable of this variance has the density of the rectangle in its middle.
    const wide = rise ** 2 / (2 * Math.PI);
    variance.push(outside === 0 ? own + wide : own);
    if (outside !== 0)
      unknown += logarithm(1 + wide / (own + scalarProduct(found.spread[i], found.spread[i]))) / 2;
  }
  return { ...found, distance, rise: distance.map(() => 0), variance, unknown };
}

function pieceOf({ distance, rise, spread, variance, lost, unknown }: Compared, straight: boolean): Piece {
  const n = distance.length;
  const none = -unknown - lost * (impossible / 2);
  if (n === 0) return { likelihood: none, top: none, misfit: lost * impossible, known: lost, share: 0.5 };
  const { yy, yg, gg, size } = weighed(distance, rise, spread, variance);
  // A known reading has a density (with 2π); beside it, one that may be anywhere has the density 1 over its width.
  const scale = 0.5 * n * logarithm(2 * Math.PI) + size;
  const share = gg > 1e-12 ? Math.min(1, Math.max(0, yg / gg)) : 0.5;
  const misfit = Math.max(0, yy - 2 * share * yg + share * share * gg) + lost * impossible;
  const inside = straight && gg > 1e-12 ? meanOver(yy, yg, gg) : -yy / 2;
  const top = none - scale - (misfit - lost * impossible) / 2;
  return { likelihood: none - scale + inside, top, misfit, known: n + lost, share };
}

/** ln ∫ exp(−(yy − 2 t yg + t² gg)/2) dt from 0 to 1. */
function meanOver(yy: number, yg: number, gg: number): number {
  const middle = yg / gg;
  const wide = Math.sqrt(gg);
  const [from, to] = [-middle * wide, (1 - middle) * wide];
  const least = -(yy - yg * middle) / 2;
  return least + 0.5 * logarithm(2 * Math.PI) - logarithm(wide) + logarithmBetween(from, to);
}

/** ln of the probability that a normal variable lies between two values. */
function logarithmBetween(from: number, to: number): number {
  if (from > 5) return logarithmBetween(-to, -from);
  // Far out, the tail falls like its density over its distance (Mills' ratio).
  if (to < -5) {
    const share = exponential(Math.max(-700, (to - from) * (to + from) * 0.5));
    return -(to * to) / 2 - logarithm(-to * Math.sqrt(2 * Math.PI)) + logarithm(Math.max(1e-300, 1 - share));
  }
  const [low, high] = [from < -8 ? 0 : normalShare(from), to > 8 ? 1 : normalShare(to)];
  return logarithm(Math.max(1e-300, high - low));
}
