// Parts that decide on each other and switch at one tick, since they began alike to the last bit: equal stages of a ring that all
// start discharged, the two gates of a latch that are let go at once. Real ones are never alike: a ring leaves step, a latch falls
// to one side. What a run shows of them is right for what it was given and yet nothing that a bench shows, so it is told.
import { atOnce } from "../base/slices.js";
import type { Combination, System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import type { Clock } from "./clock.js";
import type { Inputs } from "./inputs.js";
import { type Circling, lapse, noCircling, settleHeld } from "./lapse.js";
import { Settler } from "./modes.js";
import { NoMode } from "./nomode.js";
import type { Sources } from "./products.js";
import { Runaway, steadyState } from "./steady.js";
import { agesOf } from "./stepladder.js";
import type { Timers } from "./timers.js";
import type { Reach, Situation } from "./trial.js";

/** The most sets of parts that are remembered. */
const mostSets = 8;

/** Parts that switched at one tick, and the first such tick. */
export interface Alike {
  readonly parts: readonly number[];
  readonly tick: number;
  /** One of them was made to go first, by the order of the text; absent: they went on in step. */
  readonly raced?: boolean;
}

/** A set of parts as it was met first. */
interface Met extends Alike {
  readonly at: Combination;
  readonly s: Sources;
}

/** What is looked at once more. */
interface Circuit {
  readonly system: System;
  readonly inputs: Inputs;
  readonly clock: Clock;
  readonly timers: Timers;
}

/** Remembers which parts switched at one tick; whether they decide on each other is looked at when someone asks. */
export class InStep {
  private readonly met = new Map<string, Met>();
  private readonly races = new Map<string, Alike>();

  /** @param parts that could go either way at tick n: nothing but their order decided */
  race(parts: readonly number[], n: number): void {
    const key = parts.join();
    if (this.races.size < mostSets && !this.races.has(key))
      this.races.set(key, { parts, tick: n, raced: true });
  }

  /** @param parts that switch at tick n, in the combination left, each of its own accord */
  see(parts: readonly number[], n: number, at: Combination, { u, du, crest }: Sources): void {
    if (this.met.size >= mostSets) return;
    const key = parts.join();
    if (this.met.has(key)) return;
    const s = { u: u.slice(), du: du.slice(), crest: crest.slice() };
    this.met.set(key, { parts: parts.slice(), tick: n, at, s });
  }

  /** Those that decide on each other: with all waiting over they could be either way, or set each other off without end. */
  told({ system, inputs, clock, timers }: Circuit): readonly Alike[] {
    const ages = agesOf(clock);
    const found = [...this.races.values()];
    const named = new Set(found.flatMap(({ parts }) => parts));
    for (const { parts, tick, at, s } of this.met.values()) {
      const own = apart(at, parts).filter((part) => !named.has(part));
      if (own.length < 2) continue;
      const settler = new Settler(system, new Float64Array(system.states.length), inputs);
      const x = new Float64Array(system.states.length);
      const open = undecided({ settler, timers }, at, { ...s, x }, (to) =>
        steadyState(to.equations, system.states, s.u, ages),
      );
      const both = own.filter((part) => open.has(part));
      if (both.length < 2) continue;
      for (const part of both) named.add(part);
      found.push({ parts: both, tick });
    }
    return found;
  }
}

/** Parts that nothing but their order decides of, or that have no state to rest in. */
function undecided(
  parts: { settler: Settler; timers: Timers },
  at: Combination,
  s: Situation,
  reach: Reach,
): ReadonlySet<number> {
  const round: Circling = noCircling();
  const from = { s, reach };
  try {
    const first = atOnce(settleHeld(parts, at.modes.slice(), from, round));
    return new Set([...atOnce(lapse(parts, first, from, round)).undecided, ...round.parts]);
  } catch (error) {
    // Nothing to rest in for another reason: of these parts nothing is known.
    if (error instanceof NoMode || error instanceof Unsolvable || error instanceof Runaway) return new Set();
    throw error;
  }
}

/** Some parts, one of those whose controls look at one thing: these switch together for a cause that they share. */
function apart({ equations: { guards, guardOf } }: Combination, parts: readonly number[]): number[] {
  const { start, column, value } = guards.sparse;
  const seen = new Set<string>();
  return parts.filter((part) => {
    const g = guardOf.findIndex((guard) => guard.part === part && guard.control);
    if (g < 0 || start[g] === start[g + 1]) return true;
    const first = value[start[g]];
    const looks = Array.from({ length: start[g + 1] - start[g] }, (_, k) =>
      [column[start[g] + k], (value[start[g] + k] / first).toPrecision(9)].join(),
    ).join(" ");
    if (seen.has(looks)) return false;
    seen.add(looks);
    return true;
  });
}
