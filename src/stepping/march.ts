// The march through time: one run from its start to its end. It takes the equations, the sources in ticks and a
// clock, and tells a sink every sample. What always holds: a step never passes an edge of a source; two
// TR-BDF2 steps follow every jump and every change of modes, trapezoids follow them; an event inside a step ends
// that step on the far side of its crossing, and the modes settle there.
import type { Combination, System } from "../equations/system.js";
import { StepChoice } from "./choice.js";
import type { Clock } from "./clock.js";
import { endingOf, Stop } from "./ending.js";
import { Events } from "./events.js";
import type { Inputs } from "./inputs.js";
import { settle } from "./modes.js";
import { evaluate } from "./rows.js";
import type { Ending, StepSink } from "./sink.js";
import { checkSteady, rest, steady } from "./start.js";
import { Stepper } from "./stepper.js";

/** How to march. */
export interface MarchOptions {
  readonly start: "steady" | "rest";
  /** A fixed step in ticks; absent: the local error chooses. */
  readonly step?: number;
  /** `mixed`: two TR-BDF2 steps after a jump, then trapezoids; or one of them throughout. */
  readonly method: "mixed" | "trapezoid" | "tr-bdf2";
  /** Local error allowed where it is made, as a share of the swing; see choice.ts. */
  readonly tolerance: number;
  /** The most steps taken. */
  readonly steps: number;
  /** Asked now and then; true stops the run. */
  readonly cancelled?: () => boolean;
  /** Largest voltage and current that any source has: the scale of errors. */
  readonly volts: number;
  readonly amperes: number;
}

/** The most events settled at one instant before the run is stopped. */
const crowd = 64;
/** How often the run asks whether to go on, in steps. */
const breath = 1024;
/** Damped steps after a jump. */
const dampedSteps = 2;

/** Marches once. Make a new one for each run. */
export class March {
  private readonly stepper: Stepper;
  private readonly choice: StepChoice;
  private readonly events: Events;
  private restart = dampedSteps;
  private steps = 0;
  private rejected = 0;
  private settled = 0;

  constructor(
    private readonly system: System,
    private readonly inputs: Inputs,
    private readonly clock: Clock,
    private readonly sink: StepSink,
    private readonly options: MarchOptions,
  ) {
    this.stepper = new Stepper(system, inputs, clock.seconds);
    this.choice = new StepChoice(this.stepper, options.tolerance, options.volts, options.amperes);
    this.events = new Events(this.stepper, this.slack);
  }

  /** Runs to the end, or to what stops it; never throws for what a circuit does. */
  run(): Ending {
    let stop: unknown;
    try {
      this.begin();
      while (this.stepper.n < this.clock.end) this.toEdge(this.inputs.next(this.stepper.n, this.clock.end));
    } catch (error) {
      stop = error;
    }
    const { steps, rejected, settled: events } = this;
    const counts = { reached: this.stepper.n, steps, rejected, events, matrices: this.stepper.matrices };
    return endingOf(stop, this.system, counts);
  }

  // ---- start and edges

  private begin(): void {
    const { system, inputs, options, stepper } = this;
    inputs.seek(0, 1);
    stepper.sources();
    const modes = new Uint8Array(system.members.length);
    this.command(modes, 0);
    const resting = rest(system.states);
    const { x, u } = stepper.now;
    const place = (at: Combination): readonly number[] => {
      if (options.start === "steady") x.set(steady(at.equations, system.states, u));
      else {
        x.set(resting);
        at.equations.reconcile(x, u);
      }
      return this.violations(at);
    };
    const first = system.combination(modes);
    const found = settle(system, first, place(first), place);
    if (options.start === "steady") checkSteady(system, found, x, u);
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
    if (this.command(modes, n)) this.change(this.system.combination(modes), []);
    else if (inputs.jump(n)) this.change(at, []);
    else {
      // A slope may have changed, and with it the current of a capacitor that hangs on the source.
      stepper.read();
      const flips = this.violations(at);
      if (flips.length > 0) this.change(at, flips);
    }
    this.emit(1, false);
  }

  /** Goes over to a combination at the present tick and settles from there; flips are violations already known. */
  private change(to: Combination, flips: readonly number[]): void {
    const { stepper } = this;
    const { x, u } = stepper.now;
    let lost = to.equations.reconcile(x, u);
    const found = settle(this.system, to, flips.length > 0 ? flips : this.violations(to), (at) => {
      lost += at.equations.reconcile(x, u);
      return this.violations(at);
    });
    this.settled++;
    if (lost > 0) this.sink.loss(stepper.n, lost);
    this.enter(found);
  }

  private enter(at: Combination): void {
    this.stepper.enter(at);
    this.stepper.read();
    this.choice.restart();
    this.restart = dampedSteps;
  }

  /** Guards of a combination that the present state violates, beyond rounding. */
  private violations(at: Combination): number[] {
    const { guards, guardOf } = at.equations;
    const { x, u, du } = this.stepper.now;
    const values = new Float64Array(guards.count);
    evaluate(guards, x, u, du, values);
    const found: number[] = [];
    for (let g = 0; g < values.length; g++) if (values[g]! > this.slack(guardOf[g]!.ofCurrent)) found.push(g);
    return found;
  }

  /** Rounding allowed on the wrong side of a guard. */
  private readonly slack = (ofCurrent: boolean): number => {
    const { volts, amperes } = this.options;
    return 1e-12 * (ofCurrent ? Math.max(amperes, 1e-9 * volts) : volts);
  };

  // ---- between edges

  private toEdge(edge: number): void {
    const { stepper, choice, events, options } = this;
    choice.horizon = this.inputs.horizon(stepper.n, stepper.equations.active, this.clock.end);
    let crowded = 0;
    let last = -1;
    while (stepper.n < edge) {
      const left = edge - stepper.n;
      const fixed = options.step !== undefined;
      const k = fixed ? 0 : choice.choose(left);
      const h = fixed ? Math.min(options.step, left) : 2 ** k;
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
      crowded = stepper.n === last ? crowded + 1 : 0;
      last = stepper.n;
      if (crowded > crowd) {
        const { guardOf } = stepper.equations;
        throw new Stop(
          "chatter",
          flips.map((g) => guardOf[g]!.part),
        );
      }
      stepper.sources();
      this.change(stepper.ladder.at, flips);
      choice.horizon = this.inputs.horizon(stepper.n, stepper.equations.active, this.clock.end);
      this.emit(1, false);
    }
    this.pass();
  }

  private get damped(): boolean {
    const { method } = this.options;
    return method === "tr-bdf2" || (method === "mixed" && this.restart > 0);
  }

  private readonly attempt = (h: number): void => {
    const { stepper } = this;
    const astray = stepper.attempt(stepper.ladder.stride(h), h, this.damped);
    if (astray >= 0) throw new Stop("overflow", [this.system.states[astray]!.part]);
  };

  private readonly keep = (h: number): void => {
    this.stepper.keep(h);
    this.steps++;
    this.emit(0, this.damped);
    if (this.steps >= this.options.steps) throw new Stop("steps");
    if (this.steps % breath === 0 && this.options.cancelled?.()) throw new Stop("cancelled");
  };

  private emit(side: 0 | 1, damped: boolean): void {
    const { n, ladder, now } = this.stepper;
    if (!this.sink.sample(n, side, ladder.at, now.x, damped)) throw new Stop("recording");
  }
}
