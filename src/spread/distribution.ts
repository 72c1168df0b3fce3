// Where a value stands within its tolerance: from 0, its low end, to 1, its high end. Normal means a standard deviation of a
// third of the tolerance (a sixth of the band), centred on it, with nothing beyond the ends, since those parts are sold as
// something else. Sorted means the same with the best parts gone, which were sold as a tighter class: that makes two humps.
import { normalQuantile, normalShare } from "./normal.js";

/** How a value is distributed over its band; `gap` is the stretch of places that sorted ones leave out. */
export type Distribution = Even | Sorted;

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

/** Standard deviations from the middle of the band to its ends. */
const reach = 3;
const beyond = normalShare(-reach);

/** The place that a number of even chance stands for. */
export function drawnPlace(chance: number, of: Distribution): number {
  if (of.shape !== "sorted") return of.shape === "uniform" ? chance : at(beyond + chance * (1 - 2 * beyond));
  const [from, to] = of.gap.map((place) => normalShare((2 * place - 1) * reach)) as [number, number];
  const below = from - beyond;
  const share = chance * (below + (1 - beyond - to));
  return share < below ? at(beyond + share) : at(to + (share - below));
}

function at(share: number): number {
  return Math.min(1, Math.max(0, (normalQuantile(share) / reach + 1) / 2));
}
