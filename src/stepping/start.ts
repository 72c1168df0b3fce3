// The first instant of a march, just after time zero: steady for the levels of its sources there, at rest, or as another
// march left it. Parts settle from it, and any time that keeps one waiting has run out by then.
import type { Sliced } from "../base/slices.js";
import type { Combination, State } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { contradictions, startingLoss } from "./contradictions.js";
import { type Circling, lapse, noCircling, settleHeld } from "./lapse.js";
import { type Settlement, Settler } from "./modes.js";
import { NoMode, only } from "./nomode.js";
import { runawayStarts, untilReset, withoutGiven } from "./resets.js";
import type { StartDoubts } from "./sink.js";
import { checkSteady, Runaway, restState, steadyState } from "./steady.js";
import { agesOf } from "./stepladder.js";
import type { Reach } from "./trial.js";
import { type MarchParts, obey } from "./trip.js";

/** A state to start from, and the modes of the parts. */
export interface Begin {
  readonly x: Float64Array;
  readonly modes: Uint8Array;
  /** Times running in modes that end by themselves, s, by part. */
  readonly timers: ReadonlyMap<number, number>;
}

/** Findings about a start. */
export interface Started extends StartDoubts {
  /** Parts that could as well have started in other modes; computed on request. */
  readonly rivals: () => readonly number[];
}

/** Places a march at its first instant. @throws what stops a march */
export function* startAt(parts: MarchParts, start: "steady" | "rest" | Begin): Sliced<Started> {
  const { system, clock, integrator, settler, timers, sink } = parts;
  integrator.sync();
  const begin = typeof start === "object" ? start : undefined;
  const modes = begin ? begin.modes.slice() : new Uint8Array(system.members.length);
  obey(parts, modes, 0);
  const { now } = integrator;
  const ages = agesOf(clock);
  let { states } = system;
  let byReset: readonly State[] = [];
  const reachBy = (u: Float64Array) => (at: Combination) => steadyState(at.equations, states, u, ages);
  let reach = start === "steady" ? reachBy(now.u) : undefined;
  let restless: readonly number[] = [];
  let turning: readonly number[] = [];
  if (!reach) now.x.set(begin ? begin.x : restState(states));
  if (begin) {
    timers.resume(begin.timers);
    const { at } = yield* settler.settling(modes, { ...now });
    // A state that another march did not end in may begin a delay or a pulse, which lasts its time from here.
    timers.entered(begin.modes, at.modes, 0);
    integrator.enter(at);
    return { contradicted: [], unsteady: [], restless, turning, rivals: () => [] };
  }
  let settled: Settlement | undefined;
  while (!settled) {
    yield;
    let met: Uint8Array = modes;
    try {
      const round = noCircling();
      const one = yield* settledStates(parts, modes, { states, reach, round }, (dropped) => {
        states = dropped;
      });
      if (reach && round.parts.size > 0) {
        restless = ordered(round.parts);
        // Where fewer than two are moved by a state they cannot charge in step, so they are started from rest.
        if (round.moved.size < 2) throw new NoMode("chatter", restless);
        turning = ordered(round.next);
      }
      yield;
      met = one.at.modes;
      if (reach) checkSteady(states, one.at, now.x, now.u, ages);
      if (round.parts.size > 0)
        settled = yield* settler.settling(one.at.modes, { ...now, before: one.at.equations });
      else settled = reach ? yield* withGiven(parts, one) : one;
      // From here on the actual state decides.
      if (settled !== one) reach = undefined;
    } catch (error) {
      if (reach && error instanceof NoMode && error.code === "chatter") {
        // An oscillator: in a steady state each of its modes leads to the next. It begins at rest, and goes on from there.
        reach = undefined;
        restless = error.parts;
        ({ states } = system);
        now.x.set(restState(states));
        continue;
      }
      if (!(error instanceof Runaway && reach)) throw error;
      const astray = { system, states, modes: met, runaway: error, rest: { u: now.u, ages } };
      const reset = untilReset(astray);
      const held = reset ?? withoutGiven(astray);
      if (!held) throw error;
      const was = states;
      if (reset) byReset = [...byReset, ...reset.filter((state, i) => state !== was[i])];
      states = held;
    }
  }
  const { at: found, undecided } = settled;
  yield;
  timers.begin(found.modes);
  const rivals = rivalsOf(parts, found, undecided, reach && reachBy);
  const contradicted = contradictions(system, found, now.x);
  if (contradicted.length > 0) {
    const { lost, parts: shares } = startingLoss(system, found, now);
    if (lost > 0) sink.loss(0, lost, shares);
  }
  integrator.enter(found);
  return { contradicted, unsteady: runawayStarts(system, states, byReset), restless, turning, rivals };
}

const ordered = (parts: Iterable<number>): number[] => [...parts].sort((a, b) => a - b);

/**
 * Gives parts their initial values at the very instant, as after a sharing of charge and flux: where the steady state of the rest
 * does not allow these, the parts settle again from them. In this way the current of a coil finds its diode.
 */
function* withGiven({ system, integrator, settler }: MarchParts, steady: Settlement): Sliced<Settlement> {
  const { now } = integrator;
  if (contradictions(system, steady.at, now.x).length === 0) return steady;
  const x = now.x.slice();
  for (const [i, { initial }] of system.states.entries()) if (initial !== undefined) now.x[i] = initial;
  try {
    return yield* settler.settling(steady.at.modes, { ...now });
  } catch (error) {
    only<unknown>(error, NoMode, Unsolvable);
    now.x.set(x);
    return steady;
  }
}

/**
 * Settles the parts, from the state as it is or as `reach` finds it. Where nothing fits, initial values are dropped, as long as
 * the rest becomes steady.
 * @param dropping called with the states without them
 */
function* settledStates(
  parts: MarchParts,
  modes: Uint8Array,
  { states: given, reach, round }: Sought,
  dropping: (states: readonly State[]) => void,
): Sliced<Settlement> {
  const { now } = parts.integrator;
  const from = { s: { ...now }, reach };
  let states = given;
  let first: Settlement | undefined;
  while (!first)
    try {
      first = yield* settleHeld(parts, modes, from, round);
    } catch (error) {
      if (!reach) throw error;
      only<unknown>(error, NoMode, Unsolvable);
      first = yield* fromRest(parts, modes, reach);
      if (first) break;
      if (states.every(({ initial }) => initial === undefined)) throw error;
      states = states.map((state) => ({ ...state, initial: undefined }));
      dropping(states);
    }
  yield;
  return yield* lapse(parts, first, from, round);
}

/** What to settle at a start. */
interface Sought {
  readonly states: readonly State[];
  /** Absent: from the state as it is. */
  readonly reach: Reach | undefined;
  /** The parts that switch without end; more are added. */
  readonly round: Circling;
}

/**
 * The settlement that is steady for sources at rest at their levels, then with their slopes: the current that a slope drives into
 * a capacitor may take a diode out of the mode that it has at rest. Undefined where even that has no modes.
 */
function* fromRest(
  { settler, integrator }: MarchParts,
  modes: Uint8Array,
  reach: Reach,
): Sliced<Settlement | undefined> {
  const { now } = integrator;
  try {
    const { at } = yield* settler.settling(modes, { ...now, du: new Float64Array(now.du.length) }, reach);
    return yield* settler.settling(at.modes, { ...now, before: at.equations });
  } catch (error) {
    // No combination fits, or of those that would none has a solution.
    only<unknown>(error, NoMode, Unsolvable);
    return undefined;
  }
}

/** Parts that could as well start in other modes: from the present state, whenever that is asked. */
function rivalsOf(
  { system, inputs, integrator }: MarchParts,
  found: Combination,
  undecided: readonly number[],
  reachBy: ((u: Float64Array) => Reach) | undefined,
): () => readonly number[] {
  const { now } = integrator;
  const [x, u, du, crest] = [now.x.slice(), now.u.slice(), now.du.slice(), now.crest.slice()];
  return () => {
    const settler = new Settler(system, new Float64Array(x.length), inputs);
    return [...undecided, ...settler.rivals(found, { x, u, du, crest }, reachBy?.(u))];
  };
}
