// At a start all waiting is long over: the times that would run there are let run out, for all waiting parts at once, until that
// leads back to an earlier state. Then the first part goes first, which decides a latch. Where that leads back as well, parts
// keep each other waiting without end, like a ring of an odd number of inverters: all but one are settled, as in a ring that has
// run for a while, and that one is about to switch. Started all at once they would stay in step for ever, as no real ring does.
import type { Sliced } from "../base/slices.js";
import type { Combination } from "../equations/system.js";
import { partsOfGuards } from "./flips.js";
import type { Settlement, Settler } from "./modes.js";
import { NoMode } from "./nomode.js";
import type { Timers } from "./timers.js";
import type { Reach, Situation } from "./trial.js";

/** The most times that may run out at one start, besides two for each part. */
const mostLapses = 4096;

/** Parts that keep switching each other at a start. */
export interface Circling {
  /** Parts that go round. */
  readonly parts: Set<number>;
  /** Those of them whose input is moved by a capacitor or a coil. */
  readonly moved: Set<number>;
  /** Those that are about to switch. */
  readonly next: Set<number>;
}

/** No part goes round yet. */
export const noCircling = (): Circling => ({ parts: new Set(), moved: new Set(), next: new Set() });

/** The parts of one march that settle it. */
interface Settling {
  readonly settler: Settler;
  readonly timers: Timers;
}

/**
 * Settles parts at a start from the modes given. Parts that switch each other without end or delay are held where one of them is
 * about to switch.
 * @param round the parts going round so far; more are added
 * @throws NoMode where fewer than two of those that chatter are moved by a state: at rest, their states lead on
 */
export function* settleHeld(
  { settler }: Settling,
  modes: Uint8Array,
  { s, reach }: { readonly s: Situation; readonly reach: Reach | undefined },
  round: Circling,
): Sliced<Settlement> {
  for (let from = modes; ; ) {
    try {
      return yield* settler.settling(from, s, reach, round.parts);
    } catch (error) {
      if (!reach || !(error instanceof NoMode) || !error.round) throw error;
      const { at, parts } = error.round;
      const moved = movedAmong(at, parts);
      if (moved.size < 2) throw error;
      hold(round, at, parts);
      from = at.modes;
    }
  }
}

/** Lets the times that would run at a start run out. Parts that go round are added to `round`, and held. */
export function* lapse(
  parts: Settling,
  first: Settlement,
  { s, reach }: { readonly s: Situation; readonly reach: Reach | undefined },
  round: Circling,
): Sliced<Settlement> {
  const { timers } = parts;
  const trail: { readonly settled: Settlement; readonly waiting: readonly number[] }[] = [];
  const met = new Map<string, number>();
  let settled = first;
  let undecided = first.undecided;
  let together = true;
  let left = mostLapses + 2 * timers.size;
  const step = (from: Settlement, ending: readonly number[]): Sliced<Settlement> => {
    const modes = from.at.modes.slice();
    timers.lapse(modes, ending);
    return settleHeld(parts, modes, { s: { ...s, before: from.at.equations }, reach }, round);
  };
  for (; left > 0; left--) {
    const waiting = timers.waiting(settled.at.modes).filter((part) => !round.parts.has(part));
    if (waiting.length === 0) break;
    const key = settled.at.modes.join();
    const before = met.get(key);
    if (before !== undefined) {
      if (!together) {
        const loop = trail.slice(before);
        const fewest = loop.reduce((a, b) => (b.waiting.length < a.waiting.length ? b : a));
        hold(round, fewest.settled.at, new Set(loop.map(({ waiting: [part] }) => part)));
        settled = yield* step(fewest.settled, []);
      } else undecided = waiting;
      together = false;
      met.clear();
      trail.length = 0;
      continue;
    }
    met.set(key, trail.length);
    trail.push({ settled, waiting });
    settled = yield* step(settled, together ? waiting : waiting.slice(0, 1));
  }
  const { at } = settled;
  const acting = partsOfGuards(at, parts.settler.violations(at, s.x, s));
  for (const part of [...timers.waiting(at.modes), ...acting])
    if (round.parts.has(part)) round.next.add(part);
  return { ...settled, undecided: undecided.filter((part) => !round.parts.has(part)) };
}

function hold(round: Circling, at: Combination, parts: ReadonlySet<number>): void {
  for (const part of parts) round.parts.add(part);
  for (const part of movedAmong(at, parts)) round.moved.add(part);
}

/** Those of some parts whose controls are moved by states. */
function movedAmong(
  { equations: { guards, guardOf } }: Combination,
  parts: ReadonlySet<number>,
): Set<number> {
  const { start } = guards.sparse;
  return new Set(
    guardOf.flatMap(({ part, control }, g) =>
      control && parts.has(part) && start[g + 1] > start[g] ? [part] : [],
    ),
  );
}
