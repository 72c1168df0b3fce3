// The contents of a combination of modes, as they go into the equations.
import type { Guard } from "../parts/contract.js";
import type { Coupling, Element } from "./elements.js";

/** The part that a guard's row belongs to, and the mode it leads to. */
export interface GuardRow {
  readonly part: number;
  readonly to: number;
  readonly ofCurrent: boolean;
  /** It watches the control of a switch: obeying it is an act, after which everything else settles again. */
  readonly control: boolean;
}

/** A guard that a part's mode asks for. */
export interface PartGuard {
  readonly part: number;
  readonly guard: Guard;
}

/** The contents of a combination of modes. */
export interface Stamps {
  /** Number of places, ground included. */
  readonly places: number;
  /** Number of states; and of sources, plus one for the constants. */
  readonly nx: number;
  readonly nu: number;
  readonly elements: readonly Element[];
  /** The first element of each part. */
  readonly firsts: Int32Array;
  readonly couplings: readonly Coupling[];
  readonly guards: readonly PartGuard[];
  /** Whether to keep A without its zeros as well. */
  readonly sparse: boolean;
  /** States with an initial value: where some state must follow others, one of these is chosen only if there is no other. */
  readonly begun: ReadonlySet<number>;
}
