// Where a value stands within its tolerance: from 0, its low end, to 1, its high end. Normal means a standard deviation of a
// third of the tolerance (a sixth of the band), centred on it, with nothing beyond the ends, since those parts are sold as
// something else. Sorted means the same with the best parts gone, which were sold as a tighter class: that makes two humps. Of parts
// that were measured one by one, any is alike probable; a board takes each of them once at most, and the next board finds them all
// again: values of one bag are drawn without putting back within a trial, and put back between trials.
import { normalQuantile, normalShare } from "./normal.js";

/** How a value is distributed over its band; `gap` is the stretch of places that sorted ones leave out. */
export type Distribution = Even | Sorted | Bagged;

/** Even, or normal, over all of the band. */
export interface Even {
  /** `uniform`: anywhere alike; `normal`: about the middle, cut at the ends. */
  readonly shape: "uniform" | "normal";
}

/** Normal, but for a gap. */
export interface Sorted {
  /** As parts are from which the better ones were picked out. */
  readonly shape: "sorted";
  /** Both ends of what was picked out, as places in the band: 0 at its low end, 1 at its high end. */
  readonly gap: readonly [number, number];
}

/** One of some parts that were measured. */
export interface Bagged {
  /** One of these and no other. */
  readonly shape: "measured";
  /** Places of the parts between the lowest and the highest, in the order of the bag. */
  readonly places: readonly number[];
  /** Whose draws come out of this bag, up to the value's own: it gets none of the parts that those before it have got. */
  readonly turns: readonly string[];
}

/** Standard deviations from the middle of the band to its ends. */
const reach = 3;
const beyond = normalShare(-reach);

/** The place that a number of even chance stands for, of several values in one bag that of the first. */
export function drawnPlace(chance: number, of: Distribution): number {
  if (of.shape === "measured") return of.places[Math.floor(chance * of.places.length)];
  if (of.shape !== "sorted") return of.shape === "uniform" ? chance : at(beyond + chance * (1 - 2 * beyond));
  const [from, to] = of.gap.map((place) => normalShare((2 * place - 1) * reach)) as [number, number];
  const below = from - beyond;
  const share = chance * (below + (1 - beyond - to));
  return share < below ? at(beyond + share) : at(to + (share - below));
}

/** The place of the part that a value draws out of its bag. @param chanceOf the number of even chance of each value */
export function baggedPlace({ places, turns }: Bagged, chanceOf: (name: string) => number): number {
  const gone: number[] = [];
  for (const name of turns) {
    let next = Math.floor(chanceOf(name) * (places.length - gone.length));
    // Of those that are left, counted past those that are gone.
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
