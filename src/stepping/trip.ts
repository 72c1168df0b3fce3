// What happens when a guard trips, a switch is commanded or a time runs out: the parts concerned change mode at the current
// tick, and all others settle around them. Usually nothing is shared, and the combination that the controls lead to is
// looked up without settling; then only the groups that change are stopped.
import type { Combination, System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import type { Chatter } from "./chatter.js";
import type { Clock } from "./clock.js";
import { flipped } from "./flips.js";
import type { Inputs } from "./inputs.js";
import type { InStep } from "./instep.js";
import type { Integrator } from "./integrator.js";
import type { Settlement, Settler } from "./modes.js";
import { CutOff, NoMode, only } from "./nomode.js";
import type { Counts } from "./repeats.js";
import type { StepSink } from "./sink.js";
import type { Tangent } from "./tangent.js";
import type { Timers } from "./timers.js";
import type { Situation } from "./trial.js";

/** The components of one march. */
export interface MarchParts {
  readonly system: System;
  readonly inputs: Inputs;
  readonly clock: Clock;
  readonly integrator: Integrator;
  readonly settler: Settler;
  readonly timers: Timers;
  readonly chatter: Chatter;
  readonly inStep: InStep;
  readonly counts: Counts;
  readonly sink: StepSink;
  readonly tangent?: Tangent;
  /** Makes sure that the instant just reached has a sample. */
  readonly arrive: () => void;
}

/** A loss smaller than this share of the most energy ever held is rounding. */
const speck = 1e-15;
/** How many controls may act one after another at one instant before everything is settled instead. */
const mostActs = 8;

/** Commanded switches obey, in the modes given; true where one changes. */
export function obey(
  { system, inputs }: Pick<MarchParts, "system" | "inputs">,
  modes: Uint8Array,
  n: number,
): boolean {
  const { commanded } = inputs;
  let changed = false;
  for (let c = 0; c < commanded.length; c++) {
    const { part, schedule } = commanded[c];
    const to = system.members[part].device.obey!(modes[part], schedule.state(n));
    changed ||= to !== modes[part];
    modes[part] = to;
  }
  return changed;
}

const none: readonly number[] = [];

/** Ticks between leaving a combination and coming back that count as no time. */
const noTime = 1024;

/** Changes of mode in one march. */
export class ModeChanges {
  /** The combination that a guard without memory last led out of, and when. */
  private left: { readonly at: Combination; readonly n: number } | undefined = undefined;

  constructor(private readonly parts: MarchParts) {}

  /** Something outside the states happens: earlier modes no longer matter. */
  forget(): void {
    this.left = undefined;
  }

  /** Guards trip at the current tick: their parts go to the modes these lead to. @throws Stop where they chatter */
  trip(guards: readonly number[]): void {
    const { integrator, chatter, system, inStep } = this.parts;
    const { at } = integrator;
    const { guardOf } = at.equations;
    const switching = guards.map((g) => guardOf[g].part);
    if (guards.length > 1) inStep.see(switching, integrator.n, at, integrator.now);
    chatter.event(integrator.n, integrator.now.x, integrator.swing, switching, () => {
      // If the modes asked for have no solution, that is why they are left again and again, so say so.
      system.combination(flipped(at, guards));
    });
    this.change(guards);
    if (guards.length > 1 && guards.every((g) => !guardOf[g].control))
      inStep.share(switching, integrator.n, integrator.at, integrator.now);
  }

  /**
   * Switches to other modes at the current tick and settles from there.
   * @param to the modes, or, where the instant depends on the state, the guards that lead to them
   */
  change(to: Uint8Array | readonly number[]): void {
    const { system, integrator, timers, counts, settler, inStep, sink, tangent, arrive } = this.parts;
    const guards = to instanceof Uint8Array ? none : to;
    const crossed = tangent && guards.length > 0 ? guards[0] : -1;
    // With steps everything is at this tick; with leaps only what the event changes, and only once it has landed.
    let before = crossed >= 0 && !integrator.exact ? integrator.crossing(crossed) : undefined;
    if (!integrator.exact) integrator.sync();
    // Leading straight back to the modes just left may be a fold, where no neighbouring combination leads on.
    const { left } = this;
    const from = integrator.at;
    this.left =
      guards.length > 0 && guards.every((g) => !from.equations.guardOf[g].control)
        ? { at: from, n: integrator.n }
        : undefined;
    const fits = this.fitting(to);
    const back = left !== undefined && this.left !== undefined && integrator.n - left.n <= noTime;
    if (fits && !(back && fits === left.at)) {
      timers.entered(integrator.at.modes, fits.modes, integrator.n);
      counts.settled++;
      integrator.leave(fits);
      if (crossed >= 0) before ??= integrator.crossing(crossed);
      arrive();
      integrator.enter(fits);
      if (!tangent || !before) return;
      const { dependent, share } = fits.equations;
      tangent.event(dependent.length > 0 ? [share] : [], before, integrator.now.du, integrator.now.f);
      return;
    }
    integrator.rest();
    if (crossed >= 0) before ??= integrator.crossing(crossed);
    arrive();
    integrator.sync();
    const modes = to instanceof Uint8Array ? to : flipped(integrator.at, to);
    const situation = { ...integrator.now, before: integrator.at.equations };
    const settled = back ? this.folding(modes, situation, left.at) : settler.settle(modes, situation);
    const { at, lost, undecided } = settled;
    if (undecided.length > 1) inStep.race(undecided, integrator.n);
    timers.entered(integrator.at.modes, at.modes, integrator.n);
    counts.settled++;
    if (lost > speck * mostHeld(system, integrator.swing)) sink.loss(integrator.n, lost, settled.parts);
    integrator.enter(at);
    if (!tangent) return;
    const sharings = settled.shared.map((c) => c.equations.share);
    if (before) tangent.event(sharings, before, integrator.now.du, integrator.now.f);
    else for (const { X } of sharings) tangent.jump(X);
  }

  /**
   * Settles where a combination was left a moment ago: if that leads straight back to it, or to none, beyond the fold. Parts that
   * go on from mode to mode in a moment do not fold back, and every search for what lies beyond takes hundreds of combinations.
   */
  private folding(modes: Uint8Array, s: Situation, left: Combination): Settlement {
    const { settler, integrator } = this.parts;
    const tried = { ...s, x: s.x.slice() };
    let settled: Settlement | undefined;
    try {
      settled = settler.settle(modes, tried);
    } catch (error) {
      only<unknown>(error, NoMode, CutOff, Unsolvable);
    }
    const beyond =
      settled === undefined || settled.at === left ? settler.beyond(left, integrator.at, s) : undefined;
    if (settled === undefined || beyond) return settler.settle(beyond ?? modes, s);
    s.x.set(tried.x);
    return settled;
  }

  /**
   * The combination that some modes lead to in the plain case: nothing is shared on the way, since states that follow others
   * follow them as before, and at most controls are left to act. The usual case of a switch that obeys, or of a comparator that
   * turns something else.
   */
  private fitting(modes: Uint8Array | readonly number[]): Combination | undefined {
    const { integrator } = this.parts;
    let from = integrator.at;
    let to = modes;
    try {
      for (let act = 0; act < mostActs; act++) {
        const at = this.reached(from, to);
        if (at === from || at.sizing !== from.sizing || !tied(from, at, to instanceof Uint8Array))
          return undefined;
        const violated = integrator.violated(at);
        if (violated.length === 0) return at;
        const { guardOf } = at.equations;
        for (let k = 0; k < violated.length; k++) if (!guardOf[violated[k]].control) return undefined;
        from = at;
        to = violated;
      }
    } catch (error) {
      only(error, Unsolvable);
    }
    return undefined;
  }

  /** The combination of some modes, or that guards lead to; cached for single guards. */
  private reached(from: Combination, to: Uint8Array | readonly number[]): Combination {
    const { system } = this.parts;
    if (to instanceof Uint8Array) return system.neighbour(from, to);
    if (to.length > 1) return system.neighbour(from, flipped(from, to));
    from.led[to[0]] ??= system.combination(flipped(from, to));
    return from.led[to[0]];
  }
}

/**
 * Whether all states that follow others do so already, so that nothing is shared: each follows as it did in the combination before.
 * @param jumps sources may jump at this instant
 */
function tied(from: Combination, at: Combination, jumps: boolean): boolean {
  const { dependent, nx } = at.equations;
  for (const { state, row } of dependent) {
    if (jumps && row.at.some((k) => k > nx)) return false;
    const same = from.equations.dependent.find((d) => d.state === state);
    if (same?.row.at.length !== row.at.length) return false;
    for (let p = 0; p < row.at.length; p++)
      if (row.at[p] !== same.row.at[p] || row.of[p] !== same.row.of[p]) return false;
  }
  return true;
}

/** The energy that all states would hold together, each at its largest size so far, J. */
function mostHeld({ states }: System, swing: Float64Array): number {
  return states.reduce((sum, { size }, i) => sum + 0.5 * size * swing[i] * swing[i], 0);
}
