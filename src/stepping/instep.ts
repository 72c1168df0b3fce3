// Parts that steer each other and switch at one tick because they began alike to the last bit: equal stages of a ring that all
// start discharged, two gates of a latch released at once. Real parts are never alike: a ring falls out of step, a latch falls
// to one side. Such a run is right for what it was given, yet no bench would show it, so the user is told. So is what two equal
// limits share once they have been reached together: nothing says which of them gives it.
import { atOnce } from "../base/slices.js";
import type { Combination, System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import type { Clock } from "./clock.js";
import type { Inputs } from "./inputs.js";
import { type Circling, lapse, noCircling, settleHeld } from "./lapse.js";
import { Settler } from "./modes.js";
import { NoMode, only } from "./nomode.js";
import type { Sources } from "./products.js";
import { Runaway, steadyState } from "./steady.js";
import { agesOf } from "./stepladder.js";
import type { Timers } from "./timers.js";
import type { Reach, Situation } from "./trial.js";

/** How many sets of parts are remembered. */
const mostSets = 8;

/** Parts that switched at one tick, and the first such tick. */
export interface Alike {
  readonly parts: readonly number[];
  readonly tick: number;
  /** Whether one of them was made to go first, by the order of the text; absent: they went on in step. */
  readonly raced?: boolean;
}

/** A set of parts as first met. */
interface Met extends Alike {
  readonly at: Combination;
  readonly s: Sources;
}

/** The circuit that is looked at again. */
interface Circuit {
  readonly system: System;
  readonly inputs: Inputs;
  readonly clock: Clock;
  readonly timers: Timers;
}

/** Remembers which parts switched at one tick; whether they steer each other is worked out on request. */
export class InStep {
  private readonly met = new Map<string, Met>();
  private readonly races = new Map<string, Alike>();
  private readonly reached = new Map<string, Met & { readonly x: Float64Array }>();

  /** @param parts that could go either way at tick n, where only their order decided */
  race(parts: readonly number[], n: number): void {
    const key = parts.join();
    if (this.races.size < mostSets && !this.races.has(key))
      this.races.set(key, { parts, tick: n, raced: true });
  }

  /** @param parts that switch at tick n, in the combination they leave, each of its own accord */
  see(parts: readonly number[], n: number, at: Combination, { u, du, crest }: Sources): void {
    if (this.met.size >= mostSets) return;
    const key = parts.join();
    if (this.met.has(key)) return;
    const s = { u: u.slice(), du: du.slice(), crest: crest.slice() };
    this.met.set(key, { parts: parts.slice(), tick: n, at, s });
  }

  /** @param parts whose own currents and voltages led them at tick n, together, into a combination */
  share(parts: readonly number[], n: number, at: Combination, { x, u, du, crest }: Situation): void {
    const key = parts.join();
    if (this.reached.size >= mostSets || this.reached.has(key)) return;
    const s = { u: u.slice(), du: du.slice(), crest: crest.slice() };
    this.reached.set(key, { parts: parts.slice(), tick: n, at, s, x: x.slice() });
  }

  /** Those that steer each other: once all waiting is over they could be either way, or set each other off without end. */
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
    for (const { parts, tick, at, s, x } of this.reached.values()) {
      const settler = new Settler(system, new Float64Array(x.length), inputs);
      const beside = (a: number, b: number) =>
        a !== b &&
        system.members[a].tail === system.members[b].tail &&
        system.members[a].head === system.members[b].head;
      // Elsewhere two combinations fit at the instant of an event, but not after it.
      const pairs = parts.filter((part) => parts.some((other) => beside(part, other)));
      if (pairs.length === 0) continue;
      const either = settler.rivals(at, { ...s, x }).filter((part) => pairs.includes(part));
      if (either.length > 1) found.push({ parts: either, tick, raced: true });
    }
    return found;
  }
}

/** Parts that only their order decides, or that have no state to rest in. */
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
    // There is no rest for another reason: nothing is known of these parts.
    only<unknown>(error, NoMode, Unsolvable, Runaway);
    return new Set();
  }
}

/** The parts, but only one of those whose controls look at the same thing: these switch together for a shared cause. */
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
