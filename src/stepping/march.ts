// The march through time: one run from its start to its end. It takes the equations, the sources in ticks and a
// clock, and tells a sink every sample. What always holds: a step never passes an edge of a source; the two steps
// after a jump or a change of modes, and every step longer than the one before it, are TR-BDF2, the others
// trapezoids; an event inside a step ends that step on the far side of its crossing, and the modes settle there.
import type { Combination, System } from "../equations/system.js";
import { StepChoice } from "./choice.js";
import type { Clock } from "./clock.js";
import { type Contradiction, contradictions, startingLoss } from "./contradictions.js";
import { endingOf, Stop } from "./ending.js";
import { Events } from "./events.js";
import { flipped } from "./flips.js";
import type { Inputs } from "./inputs.js";
import { ticks, top } from "./ladder.js";
import { Settler } from "./modes.js";
import type { Ending, StepSink } from "./sink.js";
import { checkSteady, rest, steady } from "./start.js";
import { Stepper } from "./stepper.js";
import type { Tangent } from "./tangent.js";
import { Timers } from "./timers.js";

/** How to march. */
export interface MarchOptions {
  readonly start: "steady" | "rest" | Begin;
  /** A fixed step in ticks; absent: the local error chooses. */
  readonly step?: number;
  /** `mixed`: two TR-BDF2 steps after a jump, then trapezoids; or one of them throughout. */
  readonly method: "mixed" | "trapezoid" | "tr-bdf2";
  /** Local error allowed where it is made, as a share of the swing; see choice.ts. */
  readonly tolerance: number;
  /** The most steps taken. */
  readonly steps: number;
  /** Asked now and then with the tick and the steps so far; a word stops the run. */
  readonly pause?: (n: number, steps: number) => "cancelled" | "time" | undefined;
  /** Largest voltage and current that any source has: the scale of errors. */
  readonly volts: number;
  readonly amperes: number;
  /** Carries the derivatives of the state by its start along. */
  readonly tangent?: Tangent;
}

/** A state to start from, and the modes of the parts that remember theirs. */
export interface Begin {
  readonly x: Float64Array;
  readonly modes: Uint8Array;
  /** Times running in modes that end by themselves, s, by part. */
  readonly timers: ReadonlyMap<number, number>;
}

/** The most events in a row, each within a few ticks of the last, before the run is stopped. */
const crowd = 64;
/** Ticks between two events that count as no time: some 1e-13 of the run. */
const together = 1024;
/** A loss smaller than this share of the most energy ever held is rounding. */
const speck = 1e-15;
/** How often the run asks whether to go on, in steps. */
const breath = 1024;
/** Damped steps after a jump. */
const dampedSteps = 2;

/** Marches once. Make a new one for each run. */
export class March {
  private readonly stepper: Stepper;
  private readonly choice: StepChoice;
  private readonly events: Events;
  private readonly settler: Settler;
  private readonly timers: Timers;
  private restart = dampedSteps;
  /** Every step is by TR-BDF2. */
  private readonly always: boolean;
  /** The present step is longer than the one before: what that one resolved, a trapezoid would let ring on. */
  private longer = false;
  private lastLength = 0;
  private steps = 0;
  private rejected = 0;
  private settled = 0;
  /** Parts that could have started in other modes as well. */
  private rivals: readonly number[] = [];
  private contradicted: readonly Contradiction[] = [];
  /** Events in a row with no time between them, and the tick of the last. */
  private crowded = 0;
  private last = Number.NEGATIVE_INFINITY;

  constructor(
    private readonly system: System,
    private readonly inputs: Inputs,
    private readonly clock: Clock,
    private readonly sink: StepSink,
    private readonly options: MarchOptions,
  ) {
    // A corner every few steps leaves no stretch on which a trapezoid would be the better method.
    this.always = options.method === "tr-bdf2" || (options.method === "mixed" && inputs.crowded);
    this.stepper = new Stepper(system, inputs, clock.seconds);
    this.choice = new StepChoice(
      this.stepper,
      options.tolerance,
      options.volts,
      options.amperes,
      this.always,
    );
    this.events = new Events(this.stepper, this.slack);
    this.settler = new Settler(system, this.slack);
    this.timers = new Timers(system, clock);
  }

  /** Runs to the end, or to what stops it; never throws for what a circuit does. */
  run(): Ending {
    let stop: unknown;
    try {
      this.begin();
      while (this.stepper.n < this.clock.end) this.toEdge();
    } catch (error) {
      stop = error;
    }
    const { steps, rejected, settled: events } = this;
    const ambiguous = this.rivals.map((p) => this.system.members[p]!.name);
    const counts = {
      reached: this.stepper.n,
      steps,
      rejected,
      events,
      ambiguous,
      contradicted: this.contradicted,
      matrices: this.stepper.matrices,
    };
    return endingOf(stop, this.system, counts);
  }

  // ---- start and edges

  private begin(): void {
    const { system, inputs, options, stepper } = this;
    inputs.seek(0, 1);
    stepper.sources();
    const { start } = options;
    const modes = typeof start === "object" ? start.modes.slice() : new Uint8Array(system.members.length);
    this.command(modes, 0);
    const { now } = stepper;
    // Long beside the run, and in step with it: a design that is slower by a power of two starts from the same bits.
    const ages = this.clock.seconds * ticks[top]! * ticks[top]!;
    const reach =
      start === "steady" ? (at: Combination) => steady(at.equations, system.states, now.u, ages) : undefined;
    if (!reach) now.x.set(typeof start === "object" ? start.x : rest(system.states));
    let { at: found, undecided } = this.settler.settle(modes, now, reach);
    if (typeof start === "object") this.timers.resume(start.timers);
    else {
      // What keeps a part waiting is over; what sets it waiting again and again goes on so in the run.
      const after = found.modes.slice();
      for (let turn = 0; turn < 2 && this.timers.collapse(after); turn++) {
        ({ at: found, undecided } = this.settler.settle(after, now, reach));
        after.set(found.modes);
      }
      this.timers.begin(found.modes);
    }
    if (typeof start === "string") this.rivals = [...undecided, ...this.settler.rivals(found, now, reach)];
    if (reach) checkSteady(system, found, now.x, now.u, ages);
    if (typeof start === "string") this.contradicted = contradictions(system, found, now.x);
    if (this.contradicted.length > 0) {
      const { lost, parts } = startingLoss(system, found, now);
      if (lost > 0) this.sink.loss(0, lost, parts);
    }
    this.enter(found);
    this.emit(1, false);
  }

  /** Commanded switches obey; true when one changes. */
  private command(modes: Uint8Array, n: number): boolean {
    let changed = false;
    for (const { part, schedule } of this.inputs.commanded) {
      const to = this.system.members[part]!.device.obey!(modes[part]!, schedule.state(n));
      changed ||= to !== modes[part];
      modes[part] = to;
    }
    return changed;
  }

  /** At an edge: the sources change segment, commanded switches obey, modes settle. */
  private pass(): void {
    const { inputs, stepper } = this;
    const { n } = stepper;
    inputs.seek(n, 1);
    stepper.sources();
    const { at } = stepper.ladder;
    const modes = at.modes.slice();
    const commanded = this.command(modes, n);
    if (this.timers.expire(modes, n) || commanded || inputs.jump(n)) this.change(modes);
    else {
      // A slope may have changed, and with it the current of a capacitor that hangs on the source.
      stepper.read();
      const flips = this.settler.violations(at, stepper.now.x, stepper.now);
      if (flips.length > 0) this.change(flipped(at, flips));
    }
    this.emit(1, false);
  }

  /**
   * Goes over to other modes at the present tick and settles from there.
   * @param crossing the guard that crossed, where the instant depends on the state
   */
  private change(modes: Uint8Array, crossing?: number): void {
    const { stepper } = this;
    const { tangent } = this.options;
    const before = tangent && crossing !== undefined ? stepper.crossing(crossing) : undefined;
    const settled = this.settler.settle(modes, stepper.now);
    const { at, lost } = settled;
    this.timers.entered(stepper.ladder.at.modes, at.modes, stepper.n);
    this.settled++;
    if (lost > speck * this.stepper.mostHeld) this.sink.loss(this.stepper.n, lost, settled.parts);
    this.enter(at);
    if (!tangent) return;
    const sharings = settled.shared.map((c) => c.equations.share);
    if (before) tangent.event(sharings, before, stepper.now.du, stepper.now.f);
    else for (const { X } of sharings) tangent.jump(X);
  }

  /** The state reached, and the modes. */
  get state(): Begin {
    const { now, ladder } = this.stepper;
    return { x: now.x.slice(), modes: ladder.at.modes.slice(), timers: this.timers.running(this.stepper.n) };
  }

  private enter(at: Combination): void {
    this.stepper.enter(at);
    this.stepper.read();
    this.choice.restart();
    this.restart = dampedSteps;
  }

  /** Rounding allowed on the wrong side of a guard. */
  private readonly slack = (ofCurrent: boolean): number => {
    const { volts, amperes } = this.options;
    return 1e-12 * (ofCurrent ? Math.max(amperes, 1e-9 * volts) : volts);
  };

  // ---- between edges

  private toEdge(): void {
    const { stepper, choice, events, options } = this;
    let edge = this.nextEdge();
    while (stepper.n < edge) {
      const left = edge - stepper.n;
      const fixed = options.step !== undefined;
      const k = fixed ? 0 : choice.choose(left);
      const h = fixed ? Math.min(options.step, left) : ticks[k]!;
      this.longer = h > this.lastLength;
      this.attempt(h);
      if (!events.crosses(h)) {
        if (!fixed && !choice.holds(k)) {
          this.rejected++;
          choice.refused(k);
          continue;
        }
        this.keep(h);
        if (this.restart > 0) this.restart--;
        if (!fixed) choice.kept(k);
        continue;
      }
      const piece = events.narrow(h, this.attempt, this.keep);
      const flips = events.crossed();
      this.keep(piece);
      if (flips.length === 0) continue;
      const { guardOf } = stepper.equations;
      this.crowded = stepper.n - this.last <= together ? this.crowded + 1 : 0;
      this.last = stepper.n;
      if (this.crowded > crowd)
        throw new Stop(
          "chatter",
          flips.map((g) => guardOf[g]!.part),
        );
      stepper.sources();
      this.change(flipped(stepper.ladder.at, flips), flips[0]);
      // The event may have set a time that runs out before the edge.
      edge = this.nextEdge();
      this.emit(1, false);
    }
    this.pass();
  }

  /** The next tick at which something outside the states happens; tells the choice of steps how far it may look. */
  private nextEdge(): number {
    const { n, equations } = this.stepper;
    const { end } = this.clock;
    const due = this.timers.next();
    this.choice.horizon = Math.min(due, this.inputs.horizon(n, equations.active, end));
    return Math.min(due, this.inputs.next(n, end));
  }

  private get damped(): boolean {
    const { method } = this.options;
    return this.always || (method === "mixed" && (this.restart > 0 || this.longer));
  }

  private readonly attempt = (h: number): void => {
    const { stepper } = this;
    const astray = stepper.attempt(stepper.ladder.stride(h), h, this.damped);
    if (astray >= 0) throw new Stop("overflow", [this.system.states[astray]!.part]);
  };

  private readonly keep = (h: number): void => {
    this.options.tangent?.step(this.stepper.attempted, this.damped);
    this.stepper.keep(h);
    this.lastLength = h;
    this.steps++;
    this.emit(0, this.damped);
    if (this.steps >= this.options.steps) throw new Stop("steps");
    if (this.steps % breath !== 0) return;
    const word = this.options.pause?.(this.stepper.n, this.steps);
    if (word) throw new Stop(word);
  };

  private emit(side: 0 | 1, damped: boolean): void {
    const { n, ladder, now } = this.stepper;
    if (!this.sink.sample(n, side, ladder.at, now.x, damped)) throw new Stop("recording");
  }
}
