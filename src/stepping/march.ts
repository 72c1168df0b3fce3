// The march through time: one run from its start (start.ts) to its end, reported to a sink sample by sample. An integrator
// carries the state from edge to edge, usually by leaps (leaps.ts), by steps where these are asked for or the circuit is
// large (steps.ts); at edges and events modes change (trip.ts). Always: no edge is passed over, the first event comes
// first, and the modes settle there.
import { atOnce, heeding, type Sliced } from "../base/slices.js";
import type { Combination } from "../equations/system.js";
import { restsEvery } from "../signals/sinebeat.js";
import { Chatter } from "./chatter.js";
import { endingOf, Stop } from "./ending.js";
import { flipped } from "./flips.js";
import { InStep } from "./instep.js";
import type { Integrator, Marched } from "./integrator.js";
import { Leaps } from "./leaps.js";
import { Settler } from "./modes.js";
import { type Counts, Repeats } from "./repeats.js";
import type { Ending, Side, StepSink } from "./sink.js";
import { type Begin, type Started, startAt } from "./start.js";
import { type Stepping, Steps } from "./steps.js";
import type { CarryColumns, Tangent } from "./tangent.js";
import { Timers } from "./timers.js";
import { type MarchParts, ModeChanges, obey } from "./trip.js";

/** How to march. */
export interface MarchOptions extends Omit<Stepping, "method"> {
  readonly start: "steady" | "rest" | Begin;
  readonly method: Method;
  /** The most leaps or steps. */
  readonly steps: number;
  /** Asked now and then, with the tick and the steps so far; a word stops the run. */
  readonly pause?: (n: number, steps: number) => "cancelled" | "time" | undefined;
  /** Asked every few leaps or steps; true where a march in slices should yield. */
  readonly rest?: () => boolean;
  /** Carries along the derivatives of the state by its start. */
  readonly tangent?: Tangent;
  /**
   * Repeats are reported, not marched again (unless `marched`); for leaps without a tangent only. `changes` are ticks at
   * which the listener starts to keep something else. Absent: nothing looks for repeats.
   */
  readonly repeats?: { readonly changes: readonly number[]; readonly marched: boolean };
}

/** `leaps`, or how to step. */
type Method = "leaps" | Stepping["method"];

/** How often the run asks whether to go on, in leaps or steps: a leap along a fast ring takes a thousand probes. */
const breath = 64;
/** How often it asks whether to yield, in leaps, steps and events; when matrices were made for one, it asks at once. */
const stride = 16;

/** Marches once. Make a new one for each run. */
export class March {
  private readonly integrator: Integrator;
  private readonly timers: Timers;
  private readonly counts: Counts = { steps: 0, settled: 0 };
  private readonly parts: MarchParts;
  private readonly changes: ModeChanges;
  private started: Started = { contradicted: [], unsteady: [], restless: [], turning: [], rivals: () => [] };
  /** The next tick at which a switch is commanded or a time runs out. */
  private due = 0;
  private readonly sink: StepSink;
  private readonly repeats: Repeats | undefined;
  /** Ticks of a beat, and the tick from which to look at the next one. */
  private readonly period: number;
  private nextBeat = 0;
  /** Ticks between rests that end leaps, as nothing else does in a long run that sines drive; 0 for none. */
  private readonly rests: number = 0;
  /** Tick of the last sample. */
  private sampled = 0;
  /** The edge ahead when it yielded. */
  private edge: number | undefined = undefined;
  private strides = 0;
  /** Scratch: the modes at an edge. */
  private readonly modes: Uint8Array;
  private made = 0;

  constructor(
    private readonly of: Marched,
    sink: StepSink,
    private readonly options: MarchOptions,
  ) {
    const { system, inputs, clock } = of;
    const { method, tangent } = options;
    const host = {
      kept: this.kept,
      violated: (at: Combination): readonly number[] =>
        settler.violations(at, this.integrator.now.x, this.integrator.now),
      astray: (state: number) => {
        throw new Stop("overflow", [system.states[state].part]);
      },
    };
    const integrator =
      method === "leaps"
        ? new Leaps(of, host, tangent !== undefined)
        : new Steps(system, inputs, clock, { ...options, method }, host);
    const settler = new Settler(system, integrator.swing, inputs, integrator.sizes);
    this.integrator = integrator;
    this.modes = new Uint8Array(system.members.length);
    this.timers = new Timers(system, clock);
    this.period = inputs.period(Number.MAX_SAFE_INTEGER) ?? Number.POSITIVE_INFINITY;
    if (method === "leaps" && inputs.smooth)
      this.rests = restsEvery(clock.end / this.period) * this.period || 0;
    const { timers, counts } = this;
    this.repeats = integrator instanceof Leaps ? this.repeating(integrator, settler, sink) : undefined;
    this.sink = this.repeats?.sink ?? sink;
    const chatter =
      this.repeats?.chatter ?? new Chatter(clock.seconds, { end: clock.end, steps: options.steps });
    // Where modes change there is a sample of the arrival, whether or not a state has been brought to that tick.
    const arrive = () => {
      if (this.sampled !== integrator.n) this.emit(0);
    };
    const { sink: told } = this;
    const own = {
      integrator,
      settler,
      timers,
      chatter,
      inStep: new InStep(),
      counts,
      sink: told,
      tangent,
      arrive,
    };
    this.parts = { system, inputs, clock, ...own };
    this.changes = new ModeChanges(this.parts);
  }

  private repeating(leaps: Leaps, settler: Settler, sink: StepSink): Repeats | undefined {
    const { of, timers, counts, options, period } = this;
    const { inputs, clock } = of;
    // Room for at least one beat, one equal to it, and one that is not marched.
    if (!options.repeats || options.tangent || !(2 * period <= clock.end)) return undefined;
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
      { leaps, settler, timers, counts, steps, clock, change, stepped, marched },
      period,
      sink,
    );
  }

  /** Runs to the end, or to what stops it; never throws for anything a circuit does. */
  run(): Ending {
    return atOnce(this.going());
  }

  /** The same in slices. */
  *going(): Sliced<Ending> {
    const { integrator, of, counts } = this;
    let stop: unknown;
    try {
      this.started = yield* heeding(startAt(this.parts, this.options.start), () => this.heed(integrator.n));
      // Dependent states cannot be given.
      const { equations } = integrator.at;
      if (equations.dependent.length > 0) this.options.tangent?.jump(equations.share.X);
      this.emit(1);
      yield;
      this.heed(integrator.n);
      while (!this.onward()) {
        yield;
        this.heed(integrator.n);
      }
    } catch (error) {
      stop = error;
    }
    const { rivals, ...doubts } = this.started;
    const { rejected, matrices } = integrator;
    // What has grown beyond every number, or has no room, is known only up to the last sample.
    const kept = stop instanceof Stop && (stop.code === "overflow" || stop.code === "recording");
    const last = kept ? this.sampled : integrator.n;
    return endingOf(stop, of.system, {
      reached: this.repeats?.told ?? last,
      steps: counts.steps,
      rejected,
      events: counts.settled,
      ambiguous: () => rivals().map((p) => of.system.members[p].name),
      alike: () => this.parts.inStep.told(this.parts),
      matrices,
      ...doubts,
    });
  }

  /** The state reached, with modes and timers. */
  get state(): Begin {
    const { integrator, timers } = this;
    const { at, n } = integrator;
    return { x: integrator.state().slice(), modes: at.modes.slice(), timers: timers.running(n) };
  }

  /** At the first edge of a beat everything comes to rest, whether or not anything repeats: the bits are the same. */
  private beat(): void {
    const { integrator, rests } = this;
    const period = rests || this.period;
    if (integrator.n < this.nextBeat) return;
    if (integrator.n > 0) integrator.rest();
    this.nextBeat = (Math.floor(integrator.n / period) + 1) * period;
    this.repeats?.look();
    // A repeat has moved the march on.
    this.nextBeat = (Math.floor(integrator.n / period) + 1) * period;
  }

  /** Goes on to the end, or until it must yield: true at the end. */
  private onward(): boolean {
    const { integrator, of } = this;
    for (;;) {
      if (this.edge === undefined) {
        this.beat();
        if (integrator.n >= of.clock.end) return true;
      }
      this.toEdge();
      if (this.edge !== undefined) return false;
    }
  }

  /** Whether it is time to yield. */
  private tired(): boolean {
    const { rest } = this.options;
    if (!rest) return false;
    const made = this.integrator.matrices + this.of.system.combinations.length;
    if (++this.strides % stride !== 0 && made === this.made) return false;
    this.made = made;
    return rest();
  }

  /** Goes on to the next edge and over it, or yields before it and goes on from there next time. */
  private toEdge(): void {
    const { integrator, of } = this;
    let edge = this.edge ?? this.nextEdge();
    this.edge = undefined;
    while (integrator.n < edge) {
      if (this.tired()) {
        this.edge = edge;
        return;
      }
      const guards = integrator.toward(edge);
      // What crosses at the very tick of an edge is judged anew behind it; behind the end there is nothing.
      if (guards.length === 0 || (integrator.n === edge && edge < of.clock.end)) continue;
      this.changes.trip(guards);
      // The event may have started a time that runs out before the edge.
      edge = this.nextEdge();
      this.emit(1);
    }
    this.pass();
  }

  /** The next tick at which something outside the states happens. */
  private nextEdge(): number {
    const { integrator, of, timers } = this;
    const { n } = integrator;
    const { commanded } = of.inputs;
    let due = timers.next();
    for (let c = 0; c < commanded.length; c++) due = Math.min(due, commanded[c].schedule.next(n));
    this.due = due;
    return Math.min(due, integrator.corner(), this.rests > 0 ? this.nextBeat : due);
  }

  /** At an edge: sources move to their next stretch, commanded switches obey, modes settle. */
  private pass(): void {
    const { integrator, parts, changes } = this;
    const { n, at } = integrator;
    const jumps = integrator.turn();
    changes.forget();
    if (integrator.exact && !jumps && n < this.due) return;
    const { modes } = this;
    for (let p = 0; p < modes.length; p++) modes[p] = at.modes[p];
    const commanded = obey(parts, modes, n);
    const ended = this.timers.expire(modes, n);
    if (ended.length > 1) parts.inStep.see(ended, n, at, integrator.now);
    if (ended.length > 0 || commanded || jumps) changes.change(modes);
    else if (integrator.exact) return;
    else {
      const guards = parts.settler.violations(at, integrator.now.x, integrator.now);
      if (guards.length > 0) changes.change(flipped(at, guards));
    }
    this.emit(1);
  }

  private readonly kept = (damped: boolean, carry: CarryColumns): void => {
    this.options.tangent?.step(carry);
    this.counts.steps++;
    this.emit(damped ? 2 : 0);
    this.breathe(this.integrator.n);
  };

  /** Enforces the limits after a leap or step that ends at tick n. */
  private breathe(n: number): void {
    const { steps } = this.counts;
    if (steps + this.integrator.toil >= this.options.steps && n < this.of.clock.end) throw new Stop("steps");
    if (steps % breath === 0) this.heed(n);
  }

  /** Stops if the caller says so. */
  private heed(n: number): void {
    const word = this.options.pause?.(n, this.counts.steps);
    if (word) throw new Stop(word);
  }

  private emit(side: Side): void {
    const { n, at, now, given } = this.integrator;
    if (!this.sink.sample(n, side, at, now.x, given)) throw new Stop("recording");
    this.sampled = n;
  }
}
