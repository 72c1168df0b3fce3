// What a combination of modes consists of, as it goes into the equations.
import type { Guard } from "../parts/contract.js";
import type { Coupling, Element } from "./elements.js";

/** Whose guard a row is, and where it leads. */
export interface GuardRow {
  readonly part: number;
  readonly to: number;
  readonly ofCurrent: boolean;
  /** It watches the control of a switch: obeying it is an act, after which everything else settles anew. */
  readonly control: boolean;
}

/** A guard that a part's mode asks for. */
export interface PartGuard {
  readonly part: number;
  readonly guard: Guard;
}

/** What a combination of modes consists of. */
export interface Stamps {
  /** Number of places, ground included. */
  readonly places: number;
  /** Number of states, and of sources, plus one for the constants. */
  readonly nx: number;
  readonly nu: number;
  readonly elements: readonly Element[];
  /** The first element of each part. */
  readonly firsts: Int32Array;
  readonly couplings: readonly Coupling[];
  readonly guards: readonly PartGuard[];
  /** Keep A without its zeros as well. */
  readonly sparse: boolean;
  /** States that are given at the start: where some state has to follow others, it is none of these if it can be helped. */
  readonly begun: ReadonlySet<number>;
}
