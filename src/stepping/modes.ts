// Which modes fit at an instant. The parts are of two sorts. Those that only follow their own voltage and current
// (diodes, current sources, saturation) have no memory: they settle together, from the state before the instant, so
// that the order of the file plays no role. Obeying a control is an act: it is carried out, the others settle, and
// what that does to the controls is looked at next.
//
// Settling flips everything violated at once while that leads on, then only the first violated part (least-index
// pivoting: K. G. Murty, Linear Complementarity, 1988, ch. 4: finite for P-matrices, which passive circuits with
// resistance have). A combination met twice ends that: then every combination in reach is tried, and none that
// fits, or two that differ, are reported by the parts that are to blame.
import { atOnce, type Sliced } from "../base/slices.js";
import type { Combination, System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { firstGuard, flipped, partsOfGuards } from "./flips.js";
import type { Inputs } from "./inputs.js";
import { CutOff, NoMode } from "./nomode.js";
import type { Sources } from "./products.js";
import { beyondFold, rivals, searchModes } from "./rivals.js";
import { type PartSharing, sharedBy } from "./sharing.js";
import { type ModeTrial, ModeTrials, type Reach, type Situation } from "./trial.js";

/** The most acts of controls at one instant, besides two for each part: a row of them that act one after another comes to an end. */
const mostActs = 64;

/** Of the energy of a coil that is cut off, no more than this share is in its leakage where another takes over its flux. */
const leakless = 1e-5;

/** What settling came to. */
export interface Settlement {
  readonly at: Combination;
  readonly lost: number;
  readonly shared: readonly Combination[];
  readonly parts: readonly PartSharing[];
  /** Parts of a latch that could be the other way as well: nothing but their order decided. */
  readonly undecided: readonly number[];
}

/** Finds modes for one system. */
export class Settler {
  private readonly trials: ModeTrials;

  /** @param swing largest size that each state has had so far */
  constructor(
    private readonly system: System,
    swing: Float64Array,
    inputs: Inputs,
  ) {
    this.trials = new ModeTrials(system, swing, inputs);
  }

  /**
   * Settles the modes at an instant and makes the state fit them.
   * @param modes the modes to start from: those before, with what is commanded or crossed flipped
   * @param s the state, changed in place, and the sources just after the instant
   * @returns the combination that fits, the energy lost (J), and the combinations in which charge or flux was
   *   shared, in order
   * @throws NoMode, CutOff, or Fault where the circuit has no solution
   */
  settle(modes: Uint8Array, s: Situation): Settlement {
    return atOnce(this.settling(modes, s));
  }

  /**
   * The same in slices, one for each combination that is tried: each may have to be set up.
   * @param reach gives the state that a combination leads to, at the start of a run; absent: the state as it is
   * @param held parts that do not obey their controls
   */
  *settling(modes: Uint8Array, s: Situation, reach?: Reach, held?: ReadonlySet<number>): Sliced<Settlement> {
    const shared: Combination[] = [];
    const moved: PartSharing[] = [];
    // Who acts once the beginning is over: all of a loop, though they act one after another.
    const restless = new Set<number>();
    const acted = new Set<number>();
    this.trials.rounding.see(s);
    let from = modes;
    let lost = 0;
    // Controls act all at once, until that leads back: of a latch that could be either way the first part then goes first.
    let undecided: readonly number[] = [];
    let left = mostActs + 2 * modes.length;
    const late = mostActs / 2 + modes.length;
    for (const met = new Set<string>(); ; left--) {
      let trial = yield* this.follow(from, s, reach);
      lost += this.commit(trial, s, reach, moved);
      shared.push(trial.at);
      if (trial.shared) {
        trial = yield* this.follow(trial.at.modes, s, reach);
        lost += this.commit(trial, s, reach, moved);
        shared.push(trial.at);
      }
      const { at } = trial;
      const { guardOf } = at.equations;
      const acts = this.trials
        .violations(at, s.x, s)
        .filter((g) => guardOf[g].control && !held?.has(guardOf[g].part));
      if (acts.length === 0) return { at, lost, shared, parts: moved, undecided };
      if (undecided.length === 0 && acts.length > 1 && met.has(at.modes.join())) {
        undecided = partsOfGuards(at, acts);
        left += 4 * at.modes.length;
      }
      met.add(at.modes.join());
      if (left <= late) for (const part of partsOfGuards(at, acts)) restless.add(part);
      if (left === 0)
        throw new NoMode(
          "chatter",
          [...restless].sort((a, b) => a - b),
          { at, parts: acted },
        );
      const going = undecided.length > 0 ? [firstGuard(at, acts)] : acts;
      if (left <= late) for (const part of partsOfGuards(at, going)) acted.add(part);
      from = flipped(at, going);
    }
  }

  /**
   * Where a characteristic folds back: the modes to which the circuit jumps.
   * @param to the combination to go to, which has just been left
   * @param from the one that leads back to it, in which s is
   * @returns undefined where the one to go to lasts, or there is nowhere to jump
   */
  beyond(to: Combination, from: Combination, s: Situation): Uint8Array | undefined {
    const { trials } = this;
    trials.rounding.see(s);
    const trial = trials.of(to.modes, s, undefined);
    if (trial.shared || trials.lasts(trial, s, undefined)) return undefined;
    return atOnce(beyondFold(trials, [to, from], s))?.at.modes;
  }

  /** How often what counts as rounding here has grown. */
  get grown(): number {
    return this.trials.rounding.grown;
  }

  /** Guards violated in a combination, controls included. */
  violations(at: Combination, x: Float64Array, s: Sources): readonly number[] {
    return this.trials.violations(at, x, s);
  }

  /** Parts that could be in other modes as well at the start of a run. */
  rivals(found: Combination, s: Situation, reach?: Reach): number[] {
    this.trials.rounding.see(s);
    return rivals(this.trials, found, s, reach);
  }

  private commit(trial: ModeTrial, s: Situation, reach: Reach | undefined, moved: PartSharing[]): number {
    const { at, x, before, lost } = trial;
    const { rounding } = this.trials;
    // An inductor that nothing is left to carry the current of. One that a source drives follows the source.
    // At a beginning nothing has flowed yet: what is given and cannot flow is told there (contradictions.ts).
    const cut = at.equations.dependent.filter(({ state, row }) => {
      if (this.system.states[state].type !== "inductor" || row.at.length > 0) return false;
      return Math.abs(x[state] - before[state]) > rounding.least(state, before);
    });
    // Of coils without leakage another one takes all of the flux over: nothing is cut off, and nothing lost.
    const held = cut.reduce(
      (sum, { state }) => sum + 0.5 * at.equations.sizes[state] * before[state] * before[state],
      0,
    );
    const handed = cut.length > 0 && lost < leakless * held;
    if (!reach && s.before && cut.length > 0 && !handed)
      throw new CutOff(cut.map(({ state }) => this.system.states[state].part));
    if (trial.shared && !handed)
      moved.push(...sharedBy(this.system, at, { ...s, before, x }, lost, trial.freed));
    s.x.set(x);
    s.before = at.equations;
    return handed ? 0 : lost;
  }

  /** Parts without memory follow, from the state as it is. */
  private *follow(start: Uint8Array, s: Situation, reach: Reach | undefined): Sliced<ModeTrial> {
    const met = new Set<string>();
    let together = true;
    let roundabout = false;
    for (let modes: Uint8Array | undefined = start; modes; ) {
      const key = modes.join();
      if (met.has(key)) {
        if (!together) break;
        together = false;
        met.clear();
      }
      met.add(key);
      yield;
      try {
        const trial = this.trials.of(modes, s, reach);
        if (trial.violated.length === 0) {
          // Found in place of what contradicts itself it may be what was just left, a rounding before it does not fit.
          if (roundabout && !this.trials.lasts(trial, s, reach)) break;
          return trial;
        }
        modes = flipped(trial.at, together ? trial.violated : [firstGuard(trial.at, trial.violated)]);
      } catch (error) {
        if (!(error instanceof Unsolvable)) throw error;
        roundabout = true;
        modes = this.around(error, modes, met);
      }
    }
    return yield* searchModes(this.trials, start, s, reach);
  }

  /** A way out of a combination without solution: another mode of a part that stands in the loop or at the cut. */
  private around(fault: Unsolvable, modes: Uint8Array, met: ReadonlySet<string>): Uint8Array | undefined {
    const { members } = this.system;
    const near = (p: number) =>
      fault.parts.includes(p) ||
      [members[p].tail, members[p].head].some((place) => fault.places.includes(place));
    for (const way of this.trials.ways(modes)) {
      if (near(way.part) && !met.has(way.modes.join())) return way.modes;
    }
    return undefined;
  }
}
