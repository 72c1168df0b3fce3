// Every combination in reach, tried when nothing leads on, and at the start of a run, where nothing before says which of
// several that fit holds.
import type { Combination } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { partsOfGuards } from "./flips.js";
import { NoMode } from "./nomode.js";
import { Runaway } from "./steady.js";
import type { ModeTrial, ModeTrials, Reach, Situation } from "./trial.js";

/** The most combinations tried when nothing else leads on. */
export const mostTried = 4096;
/** Parts without memory up to which rivals of the combination that a run starts in are looked for, and how many. */
const mostUndecided = 7;
const mostRivals = 128;

/**
 * Tries every combination that the guards of memoryless parts lead to.
 * @throws NoMode, or Fault where no combination has a solution
 */
export function searchModes(
  trials: ModeTrials,
  start: Uint8Array,
  s: Situation,
  reach: Reach | undefined,
): ModeTrial {
  const queue = [start];
  const met = new Set([start.join()]);
  const all: ModeTrial[] = [];
  const blamed = new Map<number, number>();
  let fault: Unsolvable | undefined;
  for (let modes = queue.shift(); modes; modes = queue.shift()) {
    try {
      const trial = trials.of(modes, s, reach);
      if (trial.violated.length === 0) all.push(trial);
      for (const p of partsOfGuards(trial.at, trial.violated)) blamed.set(p, (blamed.get(p) ?? 0) + 1);
    } catch (error) {
      if (!(error instanceof Unsolvable)) throw error;
      fault ??= error;
    }
    for (const way of trials.ways(modes)) {
      const key = way.modes.join();
      if (met.has(key) || met.size >= mostTried) continue;
      met.add(key);
      queue.push(way.modes);
    }
  }
  const lasting = all.filter((fit) => trials.lasts(fit, s, reach));
  const fits = lasting.length > 0 ? lasting : all;
  const [found] = fits;
  if (!found) {
    if (fault) throw fault;
    const most = Math.max(0, ...blamed.values());
    throw new NoMode(
      "no-mode",
      [...blamed].filter(([, n]) => n === most).map(([p]) => p),
    );
  }
  const other = fits.find((f) => trials.differs(f, found, s, reach));
  if (!other) return found;
  const between = [...found.at.modes.keys()].filter((p) => other.at.modes[p] !== found.at.modes[p]);
  throw new NoMode("two-modes", between);
}

/**
 * Parts that could be in other modes as well: another combination in reach fits too, lasts, and differs in a voltage.
 * Looked for only where the parts that could differ are few, because every combination must be set up for it.
 */
export function rivals(trials: ModeTrials, found: Combination, s: Situation, reach?: Reach): number[] {
  const ways = [...trials.ways(found.modes)];
  if (new Set(ways.map(({ part }) => part)).size > mostUndecided) return [];
  const queue = [found.modes];
  const met = new Set([found.modes.join()]);
  const own: ModeTrial = { at: found, x: s.x.slice(), before: s.x, lost: 0, shared: false, violated: [] };
  for (let modes = queue.shift(); modes; modes = queue.shift()) {
    for (const way of trials.ways(modes)) {
      const key = way.modes.join();
      if (met.has(key) || met.size >= mostRivals) continue;
      met.add(key);
      queue.push(way.modes);
      try {
        const trial = trials.of(way.modes, s, reach);
        if (trial.violated.length > 0 || !trials.lasts(trial, s, reach)) continue;
        if (!trials.differs(trial, own, s, reach)) continue;
        return [...way.modes.keys()].filter((p) => way.modes[p] !== found.modes[p]);
      } catch (error) {
        if (!(error instanceof Unsolvable || error instanceof Runaway)) throw error;
      }
    }
  }
  return [];
}
