// What a part must be rated for: the most that any run demands, divided by the share of a rating that may be used (the derating).
import type { PartStress, Stress } from "../judging/stresses.js";

/** A rating that is needed, and the run that demands the most. */
export interface Need {
  /** The demand, V, W or A; Infinity where charge or flux was shared at an instant. */
  readonly asked: number;
  /** What the part must be rated for: the demand divided by the derating. */
  readonly rating: number;
  /** The next rating that is sold; absent where there is none, or no demand. */
  readonly shop?: number;
  /** The case that demands it; empty for the design as drawn. */
  readonly case: string;
}

/** Ratings that are needed. */
export interface Needs {
  /** Largest voltage across it either way, V. */
  readonly voltage: Need;
  /** Largest mean power over a run, W; absent for parts that give it back, such as capacitors. */
  readonly power?: Need;
  /** Largest current either way, A. */
  readonly current: Need;
}

/** Shares of a rating that may be used. */
export type Derating = Readonly<Record<keyof Needs, number>>;

/** Ratings as parts are sold by, V, W and A (common practice, no source). */
const sold: Readonly<Record<keyof Needs, readonly number[]>> = {
  voltage: [6.3, 10, 16, 25, 35, 50, 63, 100, 160, 200, 250, 400, 450, 630, 1000, 1600, 2000],
  power: [0.0625, 0.1, 0.125, 0.25, 0.5, 1, 2, 3, 5, 7, 10, 17, 25, 50, 100],
  current: [0.1, 0.2, 0.5, 1, 2, 3, 5, 8, 10, 16, 20, 30],
};
/** Rounding to six figures may make values differ by so much. */
const same = 1e-6;

function shopRating(of: keyof Needs, rating: number): number | undefined {
  return rating > 0 ? sold[of].find((one) => one * (1 + same) >= rating) : undefined;
}

const asks: Readonly<Record<keyof Needs, (part: PartStress) => number>> = {
  voltage: ({ voltage }) => voltage.peak.value,
  power: ({ power }) => Math.max(0, power.mean),
  current: ({ current }) => current.peak.value,
};

/**
 * What parts bought as one type must be rated for: the most that any run demands of any of them.
 * @param stores whether they give back the power that they take up
 */
export function needsOf(
  names: ReadonlySet<string>,
  runs: readonly Stress[],
  derating: Derating,
  stores: boolean,
): Needs | undefined {
  const all = runs.flatMap(({ case: name, parts }) =>
    parts.filter(({ part }) => names.has(part)).map((part) => ({ name, part })),
  );
  if (all.length === 0) return undefined;
  const need = (of: keyof Needs): Need => {
    let most = { asked: 0, case: all[0].name };
    for (const { name, part } of all) {
      const asked = asks[of](part);
      if (asked > most.asked) most = { asked, case: name };
    }
    const rating = most.asked / derating[of];
    return { asked: most.asked, rating, shop: shopRating(of, rating), case: most.case };
  };
  const power = stores ? {} : { power: need("power") };
  return { voltage: need("voltage"), ...power, current: need("current") };
}
