// Sixty kinds of circuit, each with a trace and its closed form. The forms are those of any network text (Laplace transforms of
// first and second order, dividers, rectifiers by pieces); where one comes from elsewhere it says so. τ = RC or L/R.

import { linear } from "./sixtylinear.js";
import { switched } from "./sixtyswitched.js";

/** One kind. */
export interface Known {
  readonly kind: string;
  readonly text: string;
  /** s */
  readonly until: number;
  readonly trace: string;
  /** What the trace moves between, in its own unit. */
  readonly swing: number;
  readonly form: (t: number) => number;
  readonly start?: "rest" | "steady" | "settled";
}

export const known: readonly Known[] = [...linear, ...switched];
