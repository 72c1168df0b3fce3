// Tries every combination in reach: when nothing leads on, and at the start of a run, where nothing before it says which
// of several that fit holds.
import { largestOf } from "../base/search.js";
import type { Sliced } from "../base/slices.js";
import type { Combination } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { partsOfGuards } from "./flips.js";
import { NoMode, only } from "./nomode.js";
import { Runaway } from "./steady.js";
import type { ModeTrial, ModeTrials, Reach, Situation } from "./trial.js";

/** The most combinations tried when nothing else leads on, and the most tried after one fits. */
const mostTried = 1024;
const mostBehind = 256;
/** Rivals of the starting combination are looked for up to this many parts without memory, among so many combinations. */
const mostUndecided = 7;
const mostRivals = 128;

/** The result of trying every combination in reach. */
interface Tried {
  /** Those that fit; and those that fail only by guards of parts at floating places. */
  readonly all: readonly ModeTrial[];
  readonly loose: readonly ModeTrial[];
  /** How often each part was violated. */
  readonly blamed: ReadonlyMap<number, number>;
  /** Why the first combination without a solution has none. */
  readonly fault?: Unsolvable;
}

/** Tries every combination that the guards of memoryless parts lead to. */
function* tryAll(
  trials: ModeTrials,
  start: Uint8Array,
  s: Situation,
  reach: Reach | undefined,
): Sliced<Tried> {
  const queue = [start];
  const met = new Set([start.join()]);
  const all: ModeTrial[] = [];
  const loose: ModeTrial[] = [];
  const blamed = new Map<number, number>();
  let fault: Unsolvable | undefined;
  let behind = 0;
  for (let modes = queue.shift(); modes; modes = queue.shift()) {
    if (all.length > 0 && behind++ === mostBehind) break;
    yield;
    try {
      const trial = trials.of(modes, s, reach);
      if (trial.violated.length === 0) all.push(trial);
      else if (trials.hangs(trial)) loose.push(trial);
      for (const p of partsOfGuards(trial.at, trial.violated)) blamed.set(p, (blamed.get(p) ?? 0) + 1);
    } catch (error) {
      only(error, Unsolvable);
      fault ??= error;
    }
    for (const way of trials.ways(modes)) {
      const key = way.modes.join();
      if (met.has(key) || met.size >= mostTried) continue;
      met.add(key);
      queue.push(way.modes);
    }
  }
  return { all, loose, blamed, ...(fault && { fault }) };
}

/**
 * The one combination in reach that fits.
 * @throws NoMode, or Unsolvable where no combination has a solution
 */
export function* searchModes(
  trials: ModeTrials,
  start: Uint8Array,
  s: Situation,
  reach: Reach | undefined,
): Sliced<ModeTrial> {
  const { all, loose, blamed, fault } = yield* tryAll(trials, start, s, reach);
  const lasting = all.filter((fit) => trials.lasts(fit, s, reach));
  const fits = lasting.length > 0 ? lasting : all;
  const [found] = fits;
  if (!found) {
    if (fault) throw fault;
    const most = largestOf(blamed.values(), 0);
    throw new NoMode(
      "no-mode",
      [...blamed].filter(([, n]) => n === most).map(([p]) => p),
    );
  }
  const anything = floatingIn([...all, ...loose]);
  const other = fits.find(
    (f) =>
      trials.differs(f, found, s, { reach, anything }) &&
      !(reach && otherwiseCharged(f, found) && trials.edged(f, found.at, s, reach)),
  );
  if (!other) return found;
  const between = [...found.at.modes.keys()].filter((p) => other.at.modes[p] !== found.at.modes[p]);
  throw new NoMode("two-modes", between);
}

/**
 * Where a characteristic folds back, and two combinations of memoryless parts lead to each other and neither lasts: the one in
 * reach that fits and lasts, to which such a circuit jumps (a trigger of two transistors). Undefined where there is none, or
 * more than one.
 * @param folding the two
 */
export function* beyondFold(
  trials: ModeTrials,
  folding: readonly Combination[],
  s: Situation,
): Sliced<ModeTrial | undefined> {
  const { all, loose } = yield* tryAll(trials, folding[0].modes, s, undefined);
  const others = all.filter((fit) => !folding.includes(fit.at) && trials.lasts(fit, s, undefined));
  const anything = floatingIn([...all, ...loose]);
  const [found] = others;
  return others.some((other) => trials.differs(other, found, s, { reach: undefined, anything }))
    ? undefined
    : found;
}

/**
 * Parts that could as well be in other modes: another combination in reach also fits, lasts, and differs in a voltage or in which
 * of two parts beside each other carries what both share.
 * Looked for only where few parts could differ, because every combination must be set up for it.
 */
export function rivals(trials: ModeTrials, found: Combination, s: Situation, reach?: Reach): number[] {
  const ways = [...trials.ways(found.modes)];
  if (new Set(ways.map(({ part }) => part)).size > mostUndecided) return [];
  const queue = [found.modes];
  const met = new Set([found.modes.join()]);
  const own: ModeTrial = { at: found, x: s.x.slice(), before: s.x, lost: 0, shared: false, violated: [] };
  const atRest = { ...s, du: new Float64Array(s.du.length) };
  const fits: ModeTrial[] = [];
  const loose: ModeTrial[] = [];
  for (let modes = queue.shift(); modes; modes = queue.shift()) {
    for (const way of trials.ways(modes)) {
      const key = way.modes.join();
      if (met.has(key) || met.size >= mostRivals) continue;
      met.add(key);
      queue.push(way.modes);
      try {
        const trial = trials.of(way.modes, s, reach);
        if (trials.hangs(trial)) loose.push(trial);
        if (trial.violated.length > 0 || !trials.lasts(trial, s, reach)) continue;
        // A steady state fits with the sources at rest too: a capacitor's current on their slope holds no diode closed for long.
        const still = reach ? trials.of(way.modes, atRest, reach) : trial;
        if (still.violated.length > 0) continue;
        if (reach && otherwiseCharged(still, own) && trials.edged(still, found, atRest, reach)) continue;
        fits.push(trial);
      } catch (error) {
        only<unknown>(error, Unsolvable, Runaway);
      }
    }
  }
  const anything = floatingIn([...fits, ...loose]);
  const other = fits.find((fit) => trials.differs(fit, own, s, { reach, anything }));
  if (other) return [...found.modes.keys()].filter((p) => other.at.modes[p] !== found.modes[p]);
  return fits.map((fit) => trials.sharers(fit, found, s, reach)).find((parts) => parts.length > 0) ?? [];
}

/** Whether charges differ that nothing has put there: then a diode just at its drop is no answer of its own. */
function otherwiseCharged(a: ModeTrial, b: ModeTrial): boolean {
  return a.x.some((v, i) => v !== b.x[i]);
}

/**
 * Places that float together in one of several that fit, or would but for a loose guard, as both ends of a source do while a
 * bridge blocks: their voltage is arbitrary, even where a diode without current ties it down. A place that floats alone
 * between parts stays undecided.
 */
function floatingIn(fits: readonly ModeTrial[]): ReadonlySet<number> {
  const found = new Set<number>();
  for (const { at } of fits) {
    const parts = [...at.equations.floating.values()];
    for (const [place, part] of at.equations.floating)
      if (parts.indexOf(part) !== parts.lastIndexOf(part)) found.add(place);
  }
  return found;
}
