// Carries the state from one edge to the next: by leaps (leaps.ts) or by steps (steps.ts). The march decides what happens
// at edges and events; an integrator only says how far it came and which guards crossed there.
import type { Combination, System } from "../equations/system.js";
import type { Clock } from "./clock.js";
import type { Courses } from "./courses.js";
import type { Inputs } from "./inputs.js";
import type { Instant } from "./products.js";
import type { CarryColumns, GuardCrossing } from "./tangent.js";

/** What is marched: a circuit with its sources and its clock. */
export interface Marched {
  readonly system: System;
  readonly inputs: Inputs;
  readonly clock: Clock;
  readonly courses: Courses;
}

/** Carries the state on within one combination of modes. */
export interface Integrator {
  /** The current tick. */
  readonly n: number;
  /** The combination in force. */
  readonly at: Combination;
  /** The current instant; what has not been asked for may be out of date. */
  readonly now: Instant;
  /** Largest size of each state so far. */
  readonly swing: Float64Array;
  /** The same, less what has been forgotten since; by it rounding is judged. */
  readonly sizes: Float64Array;
  /** Matrices made. */
  readonly matrices: number;
  /** Work that no step or leap shows, in steps. */
  readonly toil: number;
  /** Steps tried and rejected. */
  readonly rejected: number;
  /** Whether one sample at a corner is enough: what lies between two samples is computed from the first. */
  readonly exact: boolean;
  /** Switches to a combination; the state and the sources stay as they are. */
  enter(at: Combination): void;
  /** States brought to the current tick since the last sample, as bits; all where that is not known. */
  readonly given: number;
  /** Brings all of `now` to the current tick, sources on the stretches that begin there. */
  sync(): void;
  /** The whole state at the current tick. */
  state(): Float64Array;
  /** Guards of a combination that are violated at the current tick, of those that can be, including controls. */
  violated(at: Combination): readonly number[];
  /** The next tick at which a relevant source has a corner, or the end. */
  corner(): number;
  /** Moves the sources to the stretches that begin at the current tick; true where a relevant one jumps. */
  turn(): boolean;
  /**
   * Goes on towards an edge: to it, to an event before it, or one step nearer.
   * @returns the guards that crossed at the tick reached, usually none
   */
  toward(edge: number): readonly number[];
  /** Brings everything to the current tick, so that what follows depends on the state alone. */
  rest(): void;
  /** Brings to the current tick what another combination does not carry on alike. */
  leave(to: Combination): void;
  /** The motion just before an event, and how the guard that crossed depends on the state. */
  crossing(g: number): GuardCrossing;
}

/** Told of every leap or step that is kept. */
export interface IntegratorHost {
  /** @param carry moves derivatives of the state over the same leap or step */
  kept(damped: boolean, carry: CarryColumns): void;
  /** Guards violated in a combination at the current instant. */
  violated(at: Combination): readonly number[];
  /** A state has grown without bound. */
  astray(state: number): never;
}
