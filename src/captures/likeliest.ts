// The likeliest values where the instants of samples are uncertain: values, instruments, and the deviations of levels and of instants
// at once, since how much an edge is blurred and how slow it is look alike. An interval ends where the likelihood, at its highest
// over all others, tells a value from the likeliest one (D. M. Bates & D. G. Watts, Nonlinear Regression Analysis, 1988, section 6.1;
// S. S. Wilks, Ann. Math. Stat. 9 (1938) 60).
import { inverse, Matrix, solve } from "ml-matrix";
import {
  Climbing,
  type Deviations,
  leastGain,
  nearby,
  type Reached,
  type Start,
  type Top,
} from "./climbing.js";
import type { EstimatedValue } from "./estimate.js";
import type { FitSubject, PlacedCapture, WeighedFit } from "./fitting.js";
import { NearRuns } from "./nearruns.js";
import type { SteadyFit } from "./scatter.js";
import { coverageFactor } from "./student.js";

/** Most looks for an end of an interval, and how near it must be met: from there on the likelihood is a parabola. */
const [mostLooks, met] = [5, 0.15];
/** A likelier place that is met on the way is followed at most this often. */
const mostFollows = 3;
/** Errors in time that blur edges, as a share of the samples' distance. */
const blurred = 0.1;
/** Most times that curves are taken anew where the values went. */
const mostClimbs = 8;

/** What was found. */
export interface Likeliest {
  /** As in the fit it began with. */
  readonly values: readonly EstimatedValue[];
  /** By capture, s; 0 where none show. */
  readonly jitters: readonly number[];
}

/** Whether samples scatter in time by a good part of their distance: less than that, and a curve is as good as where they say. */
export function blurs(placed: readonly PlacedCapture[], jitters: SteadyFit["jitters"]): boolean {
  return placed.some(({ time }, k) => {
    const apart = (time[time.length - 1] - time[0]) / (time.length - 1);
    return (jitters[k]?.deviation ?? 0) > blurred * apart;
  });
}

/** The likeliest values near two fits, with their intervals; undefined where no run comes of a value there. */
export function likeliest(
  subject: FitSubject,
  { placed, found, jitters }: SteadyFit,
  once: WeighedFit,
): Likeliest | undefined {
  const { values, freedom } = found.estimate;
  const scales = jitters.map((one, k) => ({ level: 1 / found.weights[k], deviation: one?.deviation }));
  if (values.some(({ uncertainty }) => uncertainty === Number.POSITIVE_INFINITY)) return undefined;
  const climbs = [found, once].flatMap((one) => climbed(subject, placed, one, scales) ?? []);
  if (climbs.length === 0) return undefined;
  let { search, best } = climbs.reduce((a, b) => (b.best.likelihood > a.best.likelihood ? b : a));
  let ends: (readonly Reached[])[] = [];
  for (let follow = 0; follow <= mostFollows; follow++) {
    const factors = factorsOf(search, best, freedom);
    ends = values.map((_, i) => [-1, 1].map((sign) => endOf(search, best, i, sign * factors[i])));
    const better = ends.flat().find((end) => end.likelihood > best.likelihood + leastGain);
    if (!better) break;
    best = search.top(better.at, search.free);
  }
  const told = values.map((one, i): EstimatedValue => {
    const value = search.unknowns(best.at)[i];
    const [under, over] = ends[i].map((end) => Math.abs(end.at[i] - best.at[i]));
    const size = search.sizes[i];
    return {
      ...one,
      value,
      uncertainty: (Math.max(under, over) * size) / coverageFactor(freedom),
      interval: { low: value - under * size, high: value + over * size },
    };
  });
  return { values: told, jitters: scales.map((_, k) => search.jitter(best.at, k)) };
}

/** Up from a fit, as often from where that led as the values move on. */
function climbed(
  subject: FitSubject,
  placed: readonly PlacedCapture[],
  { estimate }: WeighedFit,
  scales: readonly Deviations[],
): { readonly search: Climbing; readonly best: Top } | undefined {
  const known = ({ uncertainty, value }: EstimatedValue) =>
    uncertainty > 0 && Number.isFinite(uncertainty) ? uncertainty : nearby * Math.abs(value);
  let start: Start = {
    x: [...estimate.values.map((one) => one.value), ...scales.flatMap(() => [0, 0])],
    sizes: estimate.values.map(known),
  };
  for (let climb = 0; ; climb++) {
    const near = new NearRuns(subject.runs, start.x.slice(0, subject.values.length));
    if (!near.known) return undefined;
    const search = new Climbing({ subject, placed, scales, near }, start);
    const best = search.top(
      search.centre.map(() => 0),
      search.free,
    );
    const covariance = inverse(best.told).diagonal();
    const moved = subject.values.some((_, i) => best.at[i] ** 2 > covariance[i]);
    if (!moved || climb >= mostClimbs) return { search, best };
    const sizes = start.sizes.map((size, i) => size * Math.sqrt(covariance[i]));
    start = { x: search.unknowns(best.at), sizes };
  }
}

/**
 * The factors for intervals of 95 %, by unknown: what few samples on edges tell of the deviation of instants is uncertain itself (the
 * effective degrees of freedom of B. L. Welch and F. E. Satterthwaite: JCGM 100:2008, G.4).
 */
function factorsOf(search: Climbing, { at, told, edge }: Top, freedom: number): readonly number[] {
  const covariance = inverse(told);
  // How many unknowns the samples on edges determine.
  const taken = covariance.mmul(edge).trace();
  const few = Math.max(search.telling(at) - taken, 1);
  const shares = covariance.mmul(edge).mmul(covariance).diagonal();
  return covariance.diagonal().map((all, i) => {
    const share = shares[i] / all;
    return coverageFactor(1 / (share ** 2 / few + (1 - share) ** 2 / freedom));
  });
}

/** Where the samples tell an unknown from the likeliest place, to one side of it; or a likelier place that was met on the way. */
function endOf(search: Climbing, best: Top, i: number, factor: number): Reached {
  const { free } = search;
  const rest = free.filter((k) => k !== i);
  const column = Matrix.zeros(free.length, 1);
  column.set(free.indexOf(i), 0, 1);
  // The others follow as they are correlated.
  const along = solve(best.told, column).to1DArray();
  const step = factor / Math.sqrt(along[free.indexOf(i)]);
  const begin = [...best.at];
  free.forEach((k, n) => {
    begin[k] += step * along[n];
  });
  let end: Reached = { at: begin, likelihood: Number.NEGATIVE_INFINITY };
  for (let look = 0; look < mostLooks; look++) {
    const at = search.within(end.at);
    const there = search.top(at, rest);
    const fall = best.likelihood - there.likelihood;
    if (fall < 0 || at[i] !== end.at[i]) return there;
    const grow = Math.min(Math.max(Math.abs(factor) / Math.sqrt(fall), 0.4), 2.5);
    end = { ...there, at: best.at.map((v, k) => v + grow * (there.at[k] - v)) };
    if (Math.abs(grow - 1) < met) break;
  }
  return end;
}
