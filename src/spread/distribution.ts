// Where a value lies within its tolerance: from 0, its low end, to 1, its high end. Normal means a standard deviation of a third
// of the tolerance (a sixth of the band), centred, with nothing beyond the ends, since those parts are sold as something else.
// Sorted means the same without the best parts, which were sold in a tighter class: that makes two humps. Parts that were
// measured one by one are equally probable; a board takes each at most once, and the next board finds them all again: the values
// of one bag are drawn without replacement within a trial, and replaced between trials.
import { normalQuantile, normalShare } from "./normal.js";

/** How a value is distributed over its band. */
export type Distribution = Even | Sorted | Bagged;

/** Uniform or normal, over the whole band. */
export interface Even {
  /** `uniform`: equally likely anywhere; `normal`: about the middle, cut off at the ends. */
  readonly shape: "uniform" | "normal";
}

/** Normal with a gap. */
export interface Sorted {
  /** Parts from which the better ones were picked out. */
  readonly shape: "sorted";
  /** Both ends of the range picked out, as places in the band: 0 at its low end, 1 at its high end. */
  readonly gap: readonly [number, number];
}

/** One of some measured parts. */
export interface Bagged {
  /** One of these parts and no other. */
  readonly shape: "measured";
  /** Places of the parts between the lowest and the highest, in the order of the bag. */
  readonly places: readonly number[];
  /** The values drawn from this bag in turn, up to this one: it gets none of the parts that went to those before it. */
  readonly turns: readonly string[];
}

/** Standard deviations from the middle of the band to its ends. */
const reach = 3;
const beyond = normalShare(-reach);

/** The place for a uniform random number; for a bag with several values, the place of the first. */
export function drawnPlace(chance: number, of: Distribution): number {
  if (of.shape === "measured") return of.places[Math.floor(chance * of.places.length)];
  if (of.shape !== "sorted") return of.shape === "uniform" ? chance : at(beyond + chance * (1 - 2 * beyond));
  const [from, to] = of.gap.map((place) => normalShare((2 * place - 1) * reach)) as [number, number];
  const below = from - beyond;
  const share = chance * (below + (1 - beyond - to));
  return share < below ? at(beyond + share) : at(to + (share - below));
}

/** The part that a value draws from its bag, as a place. @param chanceOf the uniform random number of each value */
export function baggedPlace({ places, turns }: Bagged, chanceOf: (name: string) => number): number {
  const gone: number[] = [];
  for (const name of turns) {
    let next = Math.floor(chanceOf(name) * (places.length - gone.length));
    // Count only those that are left.
    for (const one of gone) if (one <= next) next++;
    gone.push(next);
    gone.sort((a, b) => a - b);
    if (name === turns[turns.length - 1]) return places[next];
  }
  return Number.NaN;
}

function at(share: number): number {
  return Math.min(1, Math.max(0, (normalQuantile(share) / reach + 1) / 2));
}
