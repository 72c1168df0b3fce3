// Which modes fit at an instant. Parts are of two sorts. Those that only follow their own voltage and current (diodes,
// current sources, saturation) have no memory: they settle together, from the state before the instant, so that the order
// in the file does not matter. Obeying a control is an act: it is carried out, the others settle, and then its effect on
// the controls is looked at.
//
// Settling flips every violated part at once as long as that leads on, then only the first violated part (least-index
// pivoting: K. G. Murty, Linear Complementarity, 1988, ch. 4: finite for P-matrices, which passive circuits with
// resistance have). A combination met twice ends that: then every combination in reach is tried. If none fits, or two
// that differ do, the parts to blame are reported.
import { atOnce, type Sliced } from "../base/slices.js";
import type { Combination, System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { firstGuard, flipped, partsOfGuards } from "./flips.js";
import type { Inputs } from "./inputs.js";
import { CutOff, NoMode, only } from "./nomode.js";
import type { Sources } from "./products.js";
import { beyondFold, rivals, searchModes } from "./rivals.js";
import { type PartSharing, sharedBy } from "./sharing.js";
import { type ModeTrial, ModeTrials, type Reach, type Situation } from "./trial.js";

/** The most acts of controls at one instant, besides two for each part: a chain that acts one after another must end. */
const mostActs = 64;

/** Up to this share of its energy may be in a cut-off coil's leakage for another coil to take over its flux. */
const leakless = 1e-5;

/** The result of settling. */
export interface Settlement {
  readonly at: Combination;
  readonly lost: number;
  readonly shared: readonly Combination[];
  readonly parts: readonly PartSharing[];
  /** Parts of a latch that could as well be the other way, where only their order decided. */
  readonly undecided: readonly number[];
}

/** Finds modes for one system. */
export class Settler {
  private readonly trials: ModeTrials;

  /** @param swing largest size of each state so far */
  constructor(
    private readonly system: System,
    swing: Float64Array,
    inputs: Inputs,
    sizes = swing,
  ) {
    this.trials = new ModeTrials(system, swing, inputs, sizes);
  }

  /**
   * @param modes the modes to start from: those before, with what is commanded or crossed flipped
   * @param s the state, changed in place, and the sources just after the instant
   * @returns the combination that fits, the energy lost (J), and the combinations in which charge or flux was
   *   shared, in order
   * @throws NoMode, CutOff, or Unsolvable where the circuit has no solution
   */
  settle(modes: Uint8Array, s: Situation): Settlement {
    return atOnce(this.settling(modes, s));
  }

  /**
   * The same in slices, one for each combination tried, since each may have to be set up.
   * @param reach gives the state that a combination leads to, at the start of a run; absent: the state as it is
   * @param held parts that do not obey their controls
   */
  *settling(modes: Uint8Array, s: Situation, reach?: Reach, held?: ReadonlySet<number>): Sliced<Settlement> {
    const shared: Combination[] = [];
    const moved: PartSharing[] = [];
    // The parts that act once half of the acts are used: all of a loop, though they act one after another.
    const restless = new Set<number>();
    const acted = new Set<number>();
    this.trials.rounding.see(s);
    let from = modes;
    let lost = 0;
    // All controls act at once until that leads back; then, in a latch that could go either way, the first part goes first.
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
   * Where a characteristic folds back: the modes that the circuit jumps to.
   * @param to the combination to go to, which has just been left
   * @param from the one that leads back to it, in which s is
   * @returns undefined where the combination to go to lasts, or where there is nowhere to jump
   */
  beyond(to: Combination, from: Combination, s: Situation): Uint8Array | undefined {
    const { trials } = this;
    trials.rounding.see(s);
    const trial = trials.of(to.modes, s, undefined);
    if (trial.shared || trials.lasts(trial, s, undefined)) return undefined;
    return atOnce(beyondFold(trials, [to, from], s))?.at.modes;
  }

  /** How often the sizes that rounding is judged by have grown. */
  get grown(): number {
    return this.trials.rounding.grown;
  }

  /** Guards violated in a combination, controls included. */
  violations(at: Combination, x: Float64Array, s: Sources): readonly number[] {
    return this.trials.violations(at, x, s);
  }

  /** Parts that could as well be in other modes at the start of a run. */
  rivals(found: Combination, s: Situation, reach?: Reach): number[] {
    this.trials.rounding.see(s);
    return rivals(this.trials, found, s, reach);
  }

  private commit(trial: ModeTrial, s: Situation, reach: Reach | undefined, moved: PartSharing[]): number {
    const { at, x, before, lost } = trial;
    const { rounding } = this.trials;
    // An inductor whose current has no path left. If a source drives it, it follows the source.
    // At a start nothing has flowed yet: given currents that cannot flow are reported there (contradictions.ts).
    const cut = at.equations.dependent.filter(({ state, row }) => {
      if (this.system.states[state].type !== "inductor" || row.at.length > 0) return false;
      return Math.abs(x[state] - before[state]) > rounding.least(state, before);
    });
    // Where coils have no leakage another coil takes over all of the flux: nothing is cut off or lost.
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

  /** Parts without memory settle, from the state as it is. */
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
          // Found by way of a combination without solution, it may be the one just left, which by a rounding still fits.
          if (roundabout && !this.trials.lasts(trial, s, reach)) break;
          return trial;
        }
        modes = flipped(trial.at, together ? trial.violated : [firstGuard(trial.at, trial.violated)]);
      } catch (error) {
        only(error, Unsolvable);
        roundabout = true;
        modes = this.around(error, modes, met);
      }
    }
    return yield* searchModes(this.trials, start, s, reach);
  }

  /** A way out of a combination without solution: another mode of a part in the loop or at the cut. */
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
