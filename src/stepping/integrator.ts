// What carries the state from one edge to the next: by leaps (leaps.ts), or by steps (steps.ts). The march decides what
// happens at edges and events; an integrator only says how far it came and which guards crossed there.
import type { Combination, System } from "../equations/system.js";
import type { Clock } from "./clock.js";
import type { Courses } from "./courses.js";
import type { Inputs } from "./inputs.js";
import type { Instant } from "./products.js";
import type { CarryColumns, GuardCrossing } from "./tangent.js";

/** What is marched: a circuit with its sources and its ticks. */
export interface Marched {
  readonly system: System;
  readonly inputs: Inputs;
  readonly clock: Clock;
  readonly courses: Courses;
}

/** Carries the state on within one combination of modes. */
export interface Integrator {
  /** The present tick. */
  readonly n: number;
  /** The combination in force. */
  readonly at: Combination;
  /** The present instant; what has not been asked for may stand where it was. */
  readonly now: Instant;
  /** Largest size each state has had. */
  readonly swing: Float64Array;
  /** Matrices made. */
  readonly matrices: number;
  /** Steps tried and taken back. */
  readonly rejected: number;
  /** True where one sample at a corner says all: what lies between two samples is worked out from the first. */
  readonly exact: boolean;
  /** Goes over to a combination, the state and the sources being as they are. */
  enter(at: Combination): void;
  /** States that stand at the present tick since the last sample, as bits; all where it is not known. */
  readonly given: number;
  /** Brings all of `now` to the present tick, sources on the stretches that begin there. */
  sync(): void;
  /** The whole state at the present tick. */
  state(): Float64Array;
  /** Guards of a combination that are violated at the present tick, of those that may be: controls included. */
  violated(at: Combination): readonly number[];
  /** The next tick at which a source that matters has a corner, or the end. */
  corner(): number;
  /** Sources go over to the stretches that begin at the present tick; true where one jumps that matters. */
  turn(): boolean;
  /**
   * Goes on towards an edge: to it, to an event before it, or a step nearer.
   * @returns the guards that crossed at the tick reached, none as a rule
   */
  toward(edge: number): readonly number[];
  /** Everything comes to stand at the present tick, so that what follows depends on the state alone. */
  rest(): void;
  /** What another combination does not carry on alike comes to stand at the present tick. */
  leave(to: Combination): void;
  /** The motion just before an event, and how the guard that crossed depends on the state. */
  crossing(g: number): GuardCrossing;
}

/** Told of every leap or step that is kept. */
export interface IntegratorHost {
  /** @param carry moves derivatives of the state as it moved */
  kept(damped: boolean, carry: CarryColumns): void;
  /** Guards violated in a combination at the present instant. */
  violated(at: Combination): readonly number[];
  /** A state has grown without bound. */
  astray(state: number): never;
}
