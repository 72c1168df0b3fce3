// What a design is once its words have meaning: places and parts by index, exact values with their tolerances,
// waves, cases and checks. Everything a simulation needs, and nothing of how it is done.
import type { Dimension } from "../base/dimension.js";
import type { Fraction } from "../base/fraction.js";
import type { Span } from "../base/span.js";
import type { Control, Kind } from "../parts/contract.js";
import type { Wave } from "../signals/wave.js";

/** An exact value in SI units with the bounds that its tolerance gives; both equal the value without one. */
export interface Amount {
  readonly value: Fraction;
  readonly low: Fraction;
  readonly high: Fraction;
  readonly dimension: Dimension;
  readonly span: Span;
}

/** A part with everything that was said of it. */
export interface PartSpec {
  /** Full name, blocks included: `line.hold`. */
  readonly name: string;
  readonly kind: Kind;
  /** Places by index into `Design.places`. */
  readonly tail: number;
  readonly head: number;
  readonly value?: Amount;
  /** What a source follows. */
  readonly wave?: Wave;
  readonly amounts: ReadonlyMap<string, Amount>;
  readonly places: ReadonlyMap<string, number>;
  /** Words that stand alone. */
  readonly flags?: ReadonlySet<string>;
  readonly control?: Control;
  /** Set by a case. */
  readonly fault?: "open" | "short";
  readonly span: Span;
}

/** A bound on a measured value, SI; absent on an open side. */
export interface Limit {
  readonly low?: number;
  readonly high?: number;
}

/** A check of one case, ready to be measured. Times in seconds. */
export interface CheckSpec {
  readonly name: string;
  /** Name of the measure. */
  readonly measure: string;
  /** Name of the trace: a place, or a part with `.current`, `.voltage`, `.power`. */
  readonly target: string;
  /** Unit of the measured value, `%` where it is a share. */
  readonly unit: string;
  readonly at?: number;
  readonly through?: { readonly level: number; readonly direction?: "rising" | "falling" };
  /** Signal or place whose periods are measured one by one. */
  readonly each?: string;
  /** Part of each period, from its start. */
  readonly within?: { readonly from: number; readonly to: number };
  readonly after?: number;
  readonly before?: number;
  readonly limit: Limit;
  readonly span: Span;
}

/** A design that compiled: the circuit of one case, its checks, and the other cases. */
export interface Design {
  /** As the text gives it, else the text's name. */
  readonly title: string;
  /** Name of the text, e.g. its file. */
  readonly name: string;
  /** Empty for the design as drawn. */
  readonly caseName: string;
  /** Names by index; 0 is `ground`. */
  readonly places: readonly string[];
  /** Every part once blocks are opened, supplies and signals among them, in the order of the text. */
  readonly parts: readonly PartSpec[];
  /** The checks asked of this case. */
  readonly checks: readonly CheckSpec[];
  /** The design under each case, in the order of the text; empty in a case itself. */
  readonly cases: readonly Design[];
  /** What the text says of how to run. */
  readonly run: {
    /** Seconds. */
    readonly length?: Fraction;
    /** The state to start from. */
    readonly start: "steady" | "rest" | "settled";
  };
}

/** What the design stage must know of a measure; the measures themselves come later. */
export interface MeasureWords {
  readonly words: string;
  /** What of a part is measured where only its name is given. */
  readonly takes: "value" | "current" | "power";
  readonly needs?: "at" | "through";
  /** Unit of the result for a target in this unit. */
  unit(of: string): string;
}
