// The march through time: one run from its start to its end. It takes the equations, the sources in ticks and a
// clock, and tells a sink every sample. It decides what happens at edges and events; how the state gets from one to the
// next is the mover's: by leaps as a rule (leaps.ts), by steps where these are asked for or the circuit is large
// (steps.ts). What always holds: no edge is passed, the first event comes first, and the modes settle there.
import type { Combination, System } from "../equations/system.js";
import { Unsolvable } from "../equations/topology.js";
import { Chatter } from "./chatter.js";
import type { Clock } from "./clock.js";
import { type Contradiction, contradictions, startingLoss } from "./contradictions.js";
import type { Courses } from "./courses.js";
import { endingOf, Stop } from "./ending.js";
import { flipped } from "./flips.js";
import type { Inputs } from "./inputs.js";
import type { Integrator } from "./integrator.js";
import { Leaps } from "./leaps.js";
import { type Reach, Settler } from "./modes.js";
import { type Counts, Repeats } from "./repeats.js";
import type { Ending, Side, StepSink } from "./sink.js";
import { checkSteady, restState, steadyState } from "./start.js";
import { ticks, top } from "./stepladder.js";
import { type Stepping, Steps } from "./steps.js";
import type { Tangent } from "./tangent.js";
import { Timers } from "./timers.js";

/** How to march. */
export interface MarchOptions extends Omit<Stepping, "method"> {
  readonly start: "steady" | "rest" | Begin;
  readonly method: Method;
  /** The most leaps or steps taken. */
  readonly steps: number;
  /** Asked now and then with the tick and the steps so far; a word stops the run. */
  readonly pause?: (n: number, steps: number) => "cancelled" | "time" | undefined;
  /** Carries the derivatives of the state by its start along. */
  readonly tangent?: Tangent;
  /**
   * What repeats is not marched again, or where it is `marched` all the same only told (leaps without a tangent only):
   * `changes` are ticks at which whoever listens begins to keep something else. Absent: nobody looks for it.
   */
  readonly repeats?: { readonly changes: readonly number[]; readonly marched: boolean };
}

/** `leaps`, or how to step. */
export type Method = "leaps" | Stepping["method"];

/** A state to start from, and the modes of the parts that remember theirs. */
export interface Begin {
  readonly x: Float64Array;
  readonly modes: Uint8Array;
  /** Times running in modes that end by themselves, s, by part. */
  readonly timers: ReadonlyMap<number, number>;
}

/** A loss smaller than this share of the most energy ever held is rounding. */
const speck = 1e-15;
/** Controls that act one after another at one instant, and are followed without settling everything. */
const mostActs = 8;
/** How often the run asks whether to go on, in leaps or steps. */
const breath = 1024;

/** Marches once. Make a new one for each run. */
export class March {
  private readonly mover: Integrator & { readonly swing: Float64Array };
  private readonly settler: Settler;
  private readonly timers: Timers;
  private readonly counts: Counts = { steps: 0, settled: 0 };
  /** Gives the parts that could have started in other modes as well. */
  private rivals: () => readonly number[] = () => [];
  private contradicted: readonly Contradiction[] = [];
  /** The next tick at which a switch is commanded or a time runs out. */
  private due = 0;
  private readonly chatter: Chatter;
  private readonly sink: StepSink;
  private readonly repeats: Repeats | undefined;
  /** Ticks of a beat, and the tick from which on the next one is to be looked at. */
  private readonly period: number;
  private nextBeat = 0;
  /** Tick of the last sample. */
  private sampled = 0;

  constructor(
    private readonly system: System,
    private readonly inputs: Inputs,
    private readonly clock: Clock,
    sink: StepSink,
    private readonly options: MarchOptions,
    courses: Courses,
  ) {
    const { method } = options;
    const host = {
      kept: this.kept,
      violated: (at: Combination) => this.settler.violations(at, this.mover.now.x, this.mover.now),
      astray: (state: number) => {
        throw new Stop("overflow", [system.states[state].part]);
      },
    };
    const mover =
      method === "leaps"
        ? new Leaps(system, inputs, courses, host, options.tangent !== undefined)
        : new Steps(system, inputs, clock.seconds, { ...options, method }, host);
    this.mover = mover;
    this.settler = new Settler(system, mover.swing);
    this.timers = new Timers(system, clock);
    this.period = inputs.period(Number.MAX_SAFE_INTEGER) ?? Number.POSITIVE_INFINITY;
    this.repeats = mover instanceof Leaps ? this.repeating(mover, sink) : undefined;
    this.chatter = this.repeats?.chatter ?? new Chatter();
    this.sink = this.repeats?.sink ?? sink;
  }

  private repeating(leaps: Leaps, sink: StepSink): Repeats | undefined {
    const { inputs, settler, timers, counts, options, period } = this;
    const { end } = this.clock;
    // At least one beat, one that is like it, and one that is not marched.
    if (!options.repeats || options.tangent || !(2 * period <= end)) return undefined;
    const { changes, marched } = options.repeats;
    if (marched && !sink.repeat) return undefined;
    const change = (n: number) =>
      changes.reduce((first, at) => (at > n && at < first ? at : first), inputs.change(n));
    const stepped = (n: number) => {
      counts.steps++;
      this.breathe(n);
    };
    const { steps } = options;
    return new Repeats(
      { leaps, settler, timers, counts, steps, end, change, stepped, marched },
      period,
      sink,
    );
  }

  /** At the first edge of a beat the mover rests, whether or not anything is to be repeated: the bits are the same. */
  private beat(): void {
    const { mover, period } = this;
    if (mover.n < this.nextBeat) return;
    if (mover.n > 0) mover.rest();
    this.nextBeat = (Math.floor(mover.n / period) + 1) * period;
    this.repeats?.look();
    // What was repeated has led on.
    this.nextBeat = (Math.floor(mover.n / period) + 1) * period;
  }

  /** Runs to the end, or to what stops it; never throws for what a circuit does. */
  run(): Ending {
    let stop: unknown;
    try {
      this.begin();
      for (this.beat(); this.mover.n < this.clock.end; this.beat()) this.toEdge();
    } catch (error) {
      stop = error;
    }
    const { mover, contradicted } = this;
    const { steps, settled: events } = this.counts;
    const ambiguous = () => this.rivals().map((p) => this.system.members[p].name);
    const { rejected, matrices } = mover;
    // What has grown beyond every number is known up to the last sample.
    const last = stop instanceof Stop && stop.code === "overflow" ? this.sampled : mover.n;
    const reached = this.repeats?.told ?? last;
    const counts = { reached, steps, rejected, events, ambiguous, contradicted, matrices };
    return endingOf(stop, this.system, counts);
  }

  // ---- start and edges

  private begin(): void {
    const { system, inputs, options, mover } = this;
    inputs.seek(0, 1);
    mover.sync();
    const { start } = options;
    const modes = typeof start === "object" ? start.modes.slice() : new Uint8Array(system.members.length);
    this.command(modes, 0);
    const { now } = mover;
    // Long beside the run, and in step with it: a design that is slower by a power of two starts from the same bits.
    const ages = this.clock.seconds * ticks[top] * ticks[top];
    const reachBy = (u: Float64Array) => (at: Combination) =>
      steadyState(at.equations, system.states, u, ages);
    const reach = start === "steady" ? reachBy(now.u) : undefined;
    if (!reach) now.x.set(typeof start === "object" ? start.x : restState(system.states));
    let { at: found, undecided } = this.settler.settle(modes, { ...now }, reach);
    if (typeof start === "object") this.timers.resume(start.timers);
    else {
      // What keeps a part waiting is over; what sets it waiting again and again goes on so in the run.
      const after = found.modes.slice();
      for (let turn = 0; turn < 2 && this.timers.collapse(after); turn++) {
        ({ at: found, undecided } = this.settler.settle(after, { ...now, before: found.equations }, reach));
        after.set(found.modes);
      }
      this.timers.begin(found.modes);
    }
    if (typeof start === "string") this.rivals = this.rivalsOf(found, undecided, reach && reachBy);
    if (reach) checkSteady(system, found, now.x, now.u, ages);
    if (typeof start === "string") this.contradicted = contradictions(system, found, now.x);
    if (this.contradicted.length > 0) {
      const { lost, parts } = startingLoss(system, found, now);
      if (lost > 0) this.sink.loss(0, lost, parts);
    }
    mover.enter(found);
    this.emit(1);
  }

  /** Parts that could start in other modes as well: from the state as it is now, whenever that is asked. */
  private rivalsOf(
    found: Combination,
    undecided: readonly number[],
    reachBy: ((u: Float64Array) => Reach) | undefined,
  ): () => readonly number[] {
    const { system, mover } = this;
    const [x, u, du] = [mover.now.x.slice(), mover.now.u.slice(), mover.now.du.slice()];
    return () => {
      const settler = new Settler(system, new Float64Array(x.length));
      return [...undecided, ...settler.rivals(found, { x, u, du }, reachBy?.(u))];
    };
  }

  /** Commanded switches obey; true when one changes. */
  private command(modes: Uint8Array, n: number): boolean {
    let changed = false;
    for (const { part, schedule } of this.inputs.commanded) {
      const to = this.system.members[part].device.obey!(modes[part], schedule.state(n));
      changed ||= to !== modes[part];
      modes[part] = to;
    }
    return changed;
  }

  /**
   * The combination that some modes lead to, where that is plain: nothing is shared on the way, and all that is left to
   * do is that controls act. The usual case of a switch that obeys, or of a comparator that turns something else.
   */
  private fitting(modes: Uint8Array): Combination | undefined {
    const { mover, system } = this;
    let from = mover.at;
    let to = modes;
    try {
      for (let act = 0; act < mostActs; act++) {
        const at = system.neighbour(from, to);
        if (at === from || at.equations.dependent.length > 0 || resized(from, at)) return undefined;
        const violated = mover.violated(at);
        if (violated.length === 0) return at;
        const { guardOf } = at.equations;
        for (let k = 0; k < violated.length; k++) if (!guardOf[violated[k]].control) return undefined;
        from = at;
        to = flipped(at, violated);
      }
    } catch (error) {
      if (!(error instanceof Unsolvable)) throw error;
    }
    return undefined;
  }

  /** At an edge: the sources change segment, commanded switches obey, modes settle. */
  private pass(): void {
    const { mover } = this;
    const { n, at } = mover;
    const jumps = mover.turn();
    if (mover.exact && !jumps && n < this.due) return;
    const modes = at.modes.slice();
    const commanded = this.command(modes, n);
    if (this.timers.expire(modes, n) || commanded || jumps) this.change(modes);
    else if (mover.exact) return;
    else {
      const flips = this.settler.violations(at, mover.now.x, mover.now);
      if (flips.length > 0) this.change(flipped(at, flips));
    }
    this.emit(1);
  }

  /**
   * Goes over to other modes at the present tick and settles from there.
   * @param crossing the guard that crossed, where the instant depends on the state
   */
  private change(modes: Uint8Array, crossing?: number): void {
    const { mover } = this;
    const { tangent } = this.options;
    const before = tangent && crossing !== undefined ? mover.crossing(crossing) : undefined;
    if (tangent || !mover.exact) mover.sync();
    const fits = this.fitting(modes);
    if (fits && !tangent) {
      this.timers.entered(mover.at.modes, fits.modes, mover.n);
      this.counts.settled++;
      mover.leave(fits);
      this.arrive();
      mover.enter(fits);
      return;
    }
    mover.rest();
    this.arrive();
    mover.sync();
    const settled = this.settler.settle(modes, { ...mover.now, before: mover.at.equations });
    const { at, lost } = settled;
    this.timers.entered(mover.at.modes, at.modes, mover.n);
    this.counts.settled++;
    if (lost > speck * mover.mostHeld) this.sink.loss(mover.n, lost, settled.parts);
    mover.enter(at);
    if (!tangent) return;
    const sharings = settled.shared.map((c) => c.equations.share);
    if (before) tangent.event(sharings, before, mover.now.du, mover.now.f);
    else for (const { X } of sharings) tangent.jump(X);
  }

  /** The state reached, and the modes. */
  get state(): Begin {
    const { mover } = this;
    const { at, n } = mover;
    return { x: mover.state().slice(), modes: at.modes.slice(), timers: this.timers.running(n) };
  }

  // ---- between edges

  private toEdge(): void {
    const { mover } = this;
    let edge = this.nextEdge();
    while (mover.n < edge) {
      const flips = mover.toward(edge);
      if (flips.length === 0) continue;
      const { guardOf } = mover.at.equations;
      const parts = flips.map((g) => guardOf[g].part);
      this.chatter.event(mover.n, mover.now.x, mover.swing, parts, this.clock.seconds, () => {
        // Where the modes that are asked for contradict each other, that is why they are left again and again.
        this.system.combination(flipped(mover.at, flips));
      });
      this.change(flipped(mover.at, flips), flips[0]);
      // The event may have set a time that runs out before the edge.
      edge = this.nextEdge();
      this.emit(1);
    }
    this.pass();
  }

  /** The next tick at which something outside the states happens. */
  private nextEdge(): number {
    const { n } = this.mover;
    const { commanded } = this.inputs;
    let due = this.timers.next();
    for (let c = 0; c < commanded.length; c++) due = Math.min(due, commanded[c].schedule.next(n));
    this.due = due;
    return Math.min(due, this.mover.corner(this.clock.end));
  }

  private readonly kept = (damped: boolean, carry: (column: Float64Array) => void): void => {
    this.options.tangent?.step(carry);
    this.counts.steps++;
    this.emit(damped ? 2 : 0);
    this.breathe(this.mover.n);
  };

  /** Whether to go on after a leap or step that ends at tick n. */
  private breathe(n: number): void {
    const { steps } = this.counts;
    if (steps >= this.options.steps) throw new Stop("steps");
    if (steps % breath !== 0) return;
    const word = this.options.pause?.(n, steps);
    if (word) throw new Stop(word);
  }

  /** Where modes change there is a sample of the instant as it is reached, whether or not a state has come to stand there. */
  private arrive(): void {
    if (this.sampled !== this.mover.n) this.emit(0);
  }

  private emit(side: Side): void {
    const { n, at, now, given } = this.mover;
    if (!this.sink.sample(n, side, at, now.x, given)) throw new Stop("recording");
    this.sampled = n;
  }
}

/** Whether a capacitor or coil has another size in another combination. */
function resized(from: Combination, to: Combination): boolean {
  const [a, b] = [from.equations.sizes, to.equations.sizes];
  for (let k = 0; k < a.length; k++) if (a[k] !== b[k]) return true;
  return false;
}
