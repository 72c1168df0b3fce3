// From edge to edge by steps: for a fixed step, for a method asked for by name, and for circuits so large that matrices of
// whole leaps would not pay. Always: a step never passes an edge; an event inside a step ends that step just after its
// crossing. With mixed steps of fixed length, the two after a jump or change of modes and any longer than the one before it
// are TR-BDF2, the others trapezoids; where the error chooses, all are TR-BDF2 and their known error is subtracted.
import type { Combination, System } from "../equations/system.js";
import type { Clock } from "./clock.js";
import { tooFast } from "./growth.js";
import type { Inputs } from "./inputs.js";
import type { Integrator, IntegratorHost } from "./integrator.js";
import { StepChoice } from "./stepchoice.js";
import { ticks } from "./stepladder.js";
import { Stepper } from "./stepper.js";
import { StepWatch } from "./stepwatch.js";
import type { GuardCrossing } from "./tangent.js";

/** How to step. */
export interface Stepping {
  /** A fixed step in ticks; absent: chosen by the local error. */
  readonly step?: number;
  /** `mixed`, as above; or one of the two throughout. */
  readonly method: "mixed" | "trapezoid" | "tr-bdf2";
  /** Local error allowed in a step, as a share of the swing; see stepchoice.ts. */
  readonly tolerance: number;
}

/** Damped steps after a jump. */
const dampedSteps = 2;

/** Every state stands at every sample. */
const everything = -1;

/** Moves by steps. */
export class Steps implements Integrator {
  readonly exact = false;
  readonly given = everything;
  rejected = 0;
  private readonly stepper: Stepper;
  private readonly choice: StepChoice;
  private readonly events: StepWatch;
  private restart = dampedSteps;
  /** Whether every step is by TR-BDF2. */
  private readonly always: boolean;
  /** Whether the current step is longer than the last: what that one resolved, a trapezoid would let ring on. */
  private longer = false;
  private lastLength = 0;
  /** Combinations in which nothing grows faster than a tick. */
  private readonly tame = new Set<number>();
  /** Whether the known error of every step is subtracted. */
  private readonly mended: boolean;

  constructor(
    system: System,
    private readonly inputs: Inputs,
    private readonly clock: Clock,
    private readonly stepping: Stepping,
    private readonly host: IntegratorHost,
  ) {
    const { method, tolerance, step } = stepping;
    this.mended = method === "mixed" && step === undefined;
    // A corner every few steps leaves no stretch on which a trapezoid would be the better method.
    this.always = method === "tr-bdf2" || this.mended || (method === "mixed" && inputs.crowded);
    this.stepper = new Stepper(system, inputs, clock.seconds);
    this.choice = new StepChoice(this.stepper, tolerance, clock.end, this.always, this.mended);
    this.events = new StepWatch(this.stepper, (g) => this.stepper.noise(g));
  }

  get n(): number {
    return this.stepper.n;
  }

  get now() {
    return this.stepper.now;
  }

  get at(): Combination {
    return this.stepper.ladder.at;
  }

  get toil(): number {
    return 0;
  }

  get matrices(): number {
    return this.stepper.matrices;
  }

  get swing(): Float64Array {
    return this.stepper.swing;
  }

  get sizes(): Float64Array {
    return this.stepper.swing;
  }

  enter(at: Combination): void {
    if (!this.tame.has(at.index)) {
      const wild = tooFast(at.equations, this.clock.seconds);
      if (wild >= 0) this.host.astray(wild);
      this.tame.add(at.index);
    }
    this.stepper.enter(at);
    this.stepper.read();
    this.choice.restart();
    this.restart = dampedSteps;
  }

  sync(): void {
    this.stepper.sources(this.stepper.side);
  }

  state(): Float64Array {
    return this.now.x;
  }

  rest(): void {}

  leave(): void {}

  violated(at: Combination): readonly number[] {
    return this.host.violated(at);
  }

  corner(): number {
    return this.inputs.next(this.stepper.n, this.clock.end);
  }

  turn(): boolean {
    const { inputs, stepper } = this;
    stepper.sources(1);
    if (inputs.jump(stepper.n)) return true;
    // A slope may have changed, and with it the current of a capacitor fed by that source.
    stepper.read();
    this.choice.turn();
    return false;
  }

  toward(edge: number): readonly number[] {
    const { stepper, choice, events, stepping } = this;
    const left = edge - stepper.n;
    const fixed = stepping.step !== undefined;
    const k = fixed ? 0 : choice.choose(left, this.horizon(edge));
    const h = stepping.step !== undefined ? Math.min(stepping.step, left) : ticks[k];
    this.longer = h > this.lastLength;
    this.attempt(h);
    if (!events.crosses(h)) {
      if (!fixed && !choice.holds(k, h)) {
        this.rejected++;
        choice.refused(k);
        return [];
      }
      this.keep(h);
      if (this.restart > 0) this.restart--;
      if (!fixed) choice.kept(k);
      return [];
    }
    const piece = events.narrow(h, this.attempt, this.keep);
    const flips = events.crossed();
    this.keep(piece);
    return flips;
  }

  crossing(g: number): GuardCrossing {
    return this.stepper.crossing(g);
  }

  /** The next tick at which an edge makes the states change course. */
  private horizon(edge: number): number {
    const { stepper, inputs, clock } = this;
    return Math.min(edge, inputs.horizon(stepper.n, stepper.equations.active, clock.end));
  }

  private get damped(): boolean {
    return this.always || (this.stepping.method === "mixed" && (this.restart > 0 || this.longer));
  }

  private readonly attempt = (h: number): void => {
    const { stepper } = this;
    const astray = stepper.attempt(stepper.ladder.stride(h), h, this.damped, this.mended);
    if (astray >= 0) this.host.astray(astray);
  };

  private readonly keep = (h: number): void => {
    const { damped, mended, stepper } = this;
    stepper.keep(h);
    this.lastLength = h;
    this.host.kept(damped, (rows, columns) => {
      for (let j = 0; j < columns; j++) {
        const column = Float64Array.from(stepper.now.x, (_, i) => rows[i * columns + j]);
        stepper.carry(column, damped, mended);
        for (let i = 0; i < column.length; i++) rows[i * columns + j] = column[i];
      }
    });
  };
}
