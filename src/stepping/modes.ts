// Which modes fit at an instant. The parts are of two sorts. Those that only follow their own voltage and current
// (diodes, current sources, saturation) have no memory: they settle together, from the state before the instant, so
// that the order of the file plays no role. Obeying a control is an act: it is carried out, the others settle, and
// what that does to the controls is looked at next.
//
// Settling flips everything violated at once while that leads on, then only the first violated part (least-index
// pivoting: K. G. Murty, Linear Complementarity, 1988, ch. 4: finite for P-matrices, which passive circuits with
// resistance have). A combination met twice ends that: then every combination in reach is tried, and none that
// fits, or two that differ, are reported by the parts that are to blame.
import type { Combination, System } from "../equations/system.js";
import { Fault } from "../equations/topology.js";
import { first, flipped, parts } from "./flips.js";
import { evaluate, evaluateRow } from "./rows.js";
import { type PartSharing, sharedBy } from "./sharing.js";
import { Runaway } from "./start.js";

/** No combination of modes fits, or more than one does. */
export class NoMode extends Error {
  override readonly name = "NoMode";
  /**
   * @param code `no-mode`, `two-modes`, or `chatter`: controls that switch each other without end
   * @param parts the parts to blame
   */
  constructor(
    readonly code: "no-mode" | "two-modes" | "chatter",
    readonly parts: readonly number[],
  ) {
    super(code);
  }
}

/** The current of an inductor was cut off. */
export class CutOff extends Error {
  override readonly name = "CutOff";
  /** @param parts the inductors */
  constructor(readonly parts: readonly number[]) {
    super("cut-off");
  }
}

/** The most combinations tried when nothing else leads on. */
export const mostTried = 4096;
/** Parts without memory up to which rivals of the combination that a run starts in are looked for, and how many. */
const mostUndecided = 7;
const mostRivals = 128;
/** The most acts of controls at one instant. */
const mostActs = 64;
/** A charge or flux smaller than this share of what is there is rounding. */
const speck = 1e-9;

/** Roundings that a guard may have gathered, of what has flowed and stood in it: half of what a leap allows. */
const roundings = 256 * Number.EPSILON;

/** The state that modes are judged in: x is changed, the sources are not. */
export interface Situation {
  readonly x: Float64Array;
  readonly u: Float64Array;
  readonly du: Float64Array;
}

/** What settling came to. */
export interface Settlement {
  readonly at: Combination;
  readonly lost: number;
  readonly shared: readonly Combination[];
  readonly parts: readonly PartSharing[];
  /** Parts of a latch that could be the other way as well: nothing but their order decided. */
  readonly undecided: readonly number[];
}

export type Reach = (at: Combination) => Float64Array;

/** A trial of one combination: the state it leads to, and what it violates. */
interface Trial {
  readonly at: Combination;
  readonly x: Float64Array;
  /** Energy lost in sharing, J. */
  readonly lost: number;
  /** Charge or flux was shared, so finite currents were not looked at yet. */
  readonly shared: boolean;
  readonly violated: readonly number[];
}

const none: readonly number[] = [];

/** Finds modes for one system. */
export class Settler {
  /** @param swing largest size that each state has had so far */
  constructor(
    private readonly system: System,
    private readonly swing: Float64Array,
  ) {}

  /**
   * Settles the modes at an instant and makes the state fit them.
   * @param modes the modes to start from: those before, with what is commanded or crossed flipped
   * @param s the state, changed in place, and the sources just after the instant
   * @param reach gives the state that a combination leads to, at the start of a run; absent: the state as it is
   * @returns the combination that fits, the energy lost (J), and the combinations in which charge or flux was
   *   shared, in order
   * @throws NoMode, CutOff, or Fault where the circuit has no solution
   */
  settle(modes: Uint8Array, s: Situation, reach?: Reach): Settlement {
    const shared: Combination[] = [];
    const moved: PartSharing[] = [];
    // Who acts once the beginning is over: all of a loop, though they act one after another.
    const restless = new Set<number>();
    let from = modes;
    let lost = 0;
    // Controls act all at once, until that leads back: of a latch that could be either way the first part then goes first.
    let undecided: readonly number[] = [];
    let left = mostActs;
    for (const met = new Set<string>(); ; left--) {
      let trial = this.follow(from, s, reach);
      lost += this.commit(trial, s, reach, moved);
      shared.push(trial.at);
      if (trial.shared) {
        trial = this.follow(trial.at.modes, s, reach);
        lost += this.commit(trial, s, reach, moved);
        shared.push(trial.at);
      }
      const { at } = trial;
      const acts = this.violations(at, s.x, s).filter((g) => at.equations.guardOf[g]!.control);
      if (acts.length === 0) return { at, lost, shared, parts: moved, undecided };
      if (undecided.length === 0 && acts.length > 1 && met.has(at.modes.join())) {
        undecided = parts(at, acts);
        left += 4 * at.modes.length;
      }
      met.add(at.modes.join());
      if (left <= mostActs / 2) for (const part of parts(at, acts)) restless.add(part);
      if (left === 0)
        throw new NoMode(
          "chatter",
          [...restless].sort((a, b) => a - b),
        );
      from = flipped(at, undecided.length > 0 ? [first(at, acts)] : acts);
    }
  }

  /** Guards violated in a combination, controls included. */
  violations(at: Combination, x: Float64Array, { u, du }: Pick<Situation, "u" | "du">): readonly number[] {
    const { guards } = at.equations;
    let found: number[] | undefined;
    for (let g = 0; g < guards.count; g++) {
      const value = evaluateRow(guards, g, x, u, du);
      if (!(value > 0) || value <= this.noise(at, g, x, u, du)) continue;
      found ??= [];
      found.push(g);
    }
    return found ?? none;
  }

  /** What rounding can make of a guard, by what has flowed and stood in it. */
  private noise(at: Combination, g: number, x: Float64Array, u: Float64Array, du: Float64Array): number {
    const { X, U, D } = at.equations.guards;
    const { nx, nu } = at.equations;
    let sum = 0;
    for (let j = 0; j < nx; j++) sum += Math.abs(X[g * nx + j]!) * Math.max(this.swing[j]!, Math.abs(x[j]!));
    for (let s = 0; s < nu; s++) sum += Math.abs(U[g * nu + s]! * u[s]!) + Math.abs(D[g * nu + s]! * du[s]!);
    return roundings * sum;
  }

  private commit(trial: Trial, s: Situation, reach: Reach | undefined, moved: PartSharing[]): number {
    const { ties } = trial.at.equations;
    // An inductor that nothing is left to carry the current of. One that a source drives follows the source.
    const cut = ties.filter(({ state, T, S }) => {
      const nothing = T.every((f) => f === 0) && S.every((f) => f === 0);
      const change = Math.abs(trial.x[state]! - s.x[state]!);
      return (
        nothing &&
        this.system.states[state]!.type === "inductor" &&
        change > speck * Math.max(this.swing[state]!, Math.abs(s.x[state]!))
      );
    });
    if (!reach && cut.length > 0) throw new CutOff(cut.map(({ state }) => this.system.states[state]!.part));
    const at = { ...s, x: trial.x };
    if (trial.shared) moved.push(...sharedBy(this.system, trial.at, s.x, at, trial.lost));
    s.x.set(trial.x);
    return trial.lost;
  }

  private trial(at: Combination, s: Situation, reach: Reach | undefined): Trial {
    const { equations } = at;
    const x = reach ? reach(at) : s.x.slice();
    const lost = reach ? 0 : equations.reconcile(x, s.u);
    const { nx, impulses, guardOf, guards } = equations;
    // What was shared, and what it does to each guard: a current or voltage without bound for no time.
    let shared = false;
    const blow = new Float64Array(guards.count);
    for (const { state } of reach ? [] : equations.ties) {
      const moved = x[state]! - s.x[state]!;
      if (Math.abs(moved) <= speck * (Math.abs(x[state]!) + Math.abs(s.x[state]!))) continue;
      shared = true;
      for (let g = 0; g < blow.length; g++) blow[g]! += impulses[g * nx + state]! * moved;
    }
    const values = new Float64Array(guards.count);
    evaluate(guards, x, s.u, s.du, values);
    const violated: number[] = [];
    for (let g = 0; g < values.length; g++) {
      const { ofCurrent, control } = guardOf[g]!;
      if (control) continue;
      if (
        blow[g] !== 0
          ? blow[g]! > 0
          : !(shared && ofCurrent) && values[g]! > 0 && values[g]! > this.noise(at, g, x, s.u, s.du)
      )
        violated.push(g);
    }
    return { at, x, lost, shared, violated };
  }

  /** Parts without memory follow, from the state as it is. */
  private follow(start: Uint8Array, s: Situation, reach: Reach | undefined): Trial {
    const met = new Set<string>();
    let together = true;
    for (let modes: Uint8Array | undefined = start; modes; ) {
      const key = modes.join();
      if (met.has(key)) {
        if (!together) break;
        together = false;
        met.clear();
      }
      met.add(key);
      try {
        const trial = this.trial(this.system.combination(modes), s, reach);
        if (trial.violated.length === 0) return trial;
        modes = flipped(trial.at, together ? trial.violated : [first(trial.at, trial.violated)]);
      } catch (error) {
        if (!(error instanceof Fault)) throw error;
        modes = this.around(error, modes, met);
      }
    }
    return this.search(start, s, reach);
  }

  /** A way out of a combination without solution: another mode of a part that stands in the loop or at the cut. */
  private around(fault: Fault, modes: Uint8Array, met: ReadonlySet<string>): Uint8Array | undefined {
    const { members } = this.system;
    const near = (p: number) =>
      fault.parts.includes(p) ||
      [members[p]!.tail, members[p]!.head].some((place) => fault.places.includes(place));
    for (const way of this.ways(modes)) {
      if (near(way.part) && !met.has(way.modes.join())) return way.modes;
    }
    return undefined;
  }

  private *ways(modes: Uint8Array): Generator<{ part: number; modes: Uint8Array }> {
    for (const part of modes.keys()) {
      for (const to of this.system.ways(part, modes[part]!)) {
        const next = modes.slice();
        next[part] = to;
        yield { part, modes: next };
      }
    }
  }

  /** Tries every combination that the guards of memoryless parts lead to. */
  private search(start: Uint8Array, s: Situation, reach: Reach | undefined): Trial {
    const queue = [start];
    const met = new Set([start.join()]);
    const fits: Trial[] = [];
    const blamed = new Map<number, number>();
    let fault: Fault | undefined;
    for (let modes = queue.shift(); modes; modes = queue.shift()) {
      try {
        const trial = this.trial(this.system.combination(modes), s, reach);
        if (trial.violated.length === 0) fits.push(trial);
        for (const p of parts(trial.at, trial.violated)) blamed.set(p, (blamed.get(p) ?? 0) + 1);
      } catch (error) {
        if (!(error instanceof Fault)) throw error;
        fault ??= error;
      }
      for (const way of this.ways(modes)) {
        const key = way.modes.join();
        if (met.has(key) || met.size >= mostTried) continue;
        met.add(key);
        queue.push(way.modes);
      }
    }
    const [found] = fits;
    if (!found) {
      if (fault) throw fault;
      const most = Math.max(0, ...blamed.values());
      throw new NoMode(
        "no-mode",
        [...blamed].filter(([, n]) => n === most).map(([p]) => p),
      );
    }
    const other = fits.find((f) => this.differs(f, found, s));
    if (!other) return found;
    const between = [...found.at.modes.keys()].filter((p) => other.at.modes[p] !== found.at.modes[p]);
    throw new NoMode("two-modes", between);
  }

  /**
   * Parts that could be in other modes as well: another combination in reach fits too, and differs in a voltage.
   * Looked for at the start of a run, where nothing before says which one holds; only where the parts that could
   * differ are few, because every combination must be set up for it.
   */
  rivals(found: Combination, s: Situation, reach?: Reach): number[] {
    const undecided = [...found.modes.keys()].filter((p) => this.system.ways(p, found.modes[p]!).length > 0);
    if (undecided.length > mostUndecided) return [];
    const queue = [found.modes];
    const met = new Set([found.modes.join()]);
    const own: Trial = { at: found, x: s.x.slice(), lost: 0, shared: false, violated: [] };
    for (let modes = queue.shift(); modes; modes = queue.shift()) {
      for (const way of this.ways(modes)) {
        const key = way.modes.join();
        if (met.has(key) || met.size >= mostRivals) continue;
        met.add(key);
        queue.push(way.modes);
        try {
          const trial = this.trial(this.system.combination(way.modes), s, reach);
          if (trial.violated.length > 0 || !this.differs(trial, own, s)) continue;
          return [...way.modes.keys()].filter((p) => way.modes[p] !== found.modes[p]);
        } catch (error) {
          if (!(error instanceof Fault || error instanceof Runaway)) throw error;
        }
      }
    }
    return [];
  }

  /** Do two combinations that fit differ in the voltage of any place that has one? */
  private differs(a: Trial, b: Trial, s: Situation): boolean {
    const count = a.at.equations.places.count;
    const [va, vb] = [new Float64Array(count), new Float64Array(count)];
    evaluate(a.at.equations.places, a.x, s.u, s.du, va);
    evaluate(b.at.equations.places, b.x, s.u, s.du, vb);
    let size = 0;
    for (const v of va) size = Math.max(size, Math.abs(v));
    const anything = (p: number) => a.at.equations.floating.has(p) || b.at.equations.floating.has(p);
    return va.some((v, p) => !anything(p) && Math.abs(v - vb[p]!) > 1e-6 * size);
  }
}
