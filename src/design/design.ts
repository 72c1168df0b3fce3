// What a design is once its words have meaning: places and parts by index, exact values with their tolerances,
// waves, cases and checks. Everything a simulation needs, and nothing of how it is done.
import type { Report } from "../base/diagnostic.js";
import type { Dimension } from "../base/dimension.js";
import type { Fraction } from "../base/fraction.js";
import type { Series } from "../base/series.js";
import type { Span } from "../base/span.js";
import type { Held } from "../instruments/held.js";
import type { Limit } from "../measures/verdict.js";
import type { Measure, Passing, TimeSpan } from "../measures/window.js";
import type { Control, Kind } from "../parts/contract.js";
import type { Wave } from "../signals/wave.js";
import type { Phrase } from "../syntax/phrase.js";

/** An exact value in SI units with the bounds that its tolerance gives; both equal the value without one. */
export interface Amount {
  /** Nominal. */
  readonly value: Fraction;
  /** Lowest within the tolerance. */
  readonly low: Fraction;
  /** Highest within the tolerance. */
  readonly high: Fraction;
  /** What it is in. */
  readonly dimension: Dimension;
  /** Where it is written. */
  readonly span: Span;
  /**
   * Full name of the named value that it is, where it was written as that name alone; its tolerance is then the named
   * value's, and both move as one.
   */
  readonly follows?: string;
  /** What the words behind it say; absent where there are none. */
  readonly spreading?: Spreading;
}

/** How a value spreads within its tolerance, and with temperature. */
export interface Spreading {
  /** `uniform` unless given; see `spreadWords`. */
  readonly shape?: "uniform" | "normal" | "sorted";
  /** Of sorted parts: no value is this near, as a share of the value or in its unit. */
  readonly gap?: {
    /** How near none is. */
    readonly size: Fraction;
    /** True where that is a share of the value. */
    readonly share: boolean;
    /** Where it is written. */
    readonly span: Span;
  };
  /** The value that it stands with, as written; see `trackedName`. */
  readonly tracks?: {
    /** Name of the other value. */
    readonly name: string;
    /** Where it is written. */
    readonly span: Span;
  };
  /** Change a kelvin, as a share of the value or absolute in its unit. */
  readonly drift?: {
    /** The change, with its own tolerance. */
    readonly amount: Amount;
    /** True where it is in the unit of the value, false where it is a share. */
    readonly absolute: boolean;
  };
  /** Share by which temperature may move it either way. */
  readonly wanders?: Fraction;
}

/** What a part is rated for. */
export interface Rating {
  /** What must stay small. */
  readonly of: "power" | "current" | "voltage";
  /** Which size of it counts. */
  readonly size: "mean" | "peak" | "rms" | "reverse";
  /** The most it bears, W, A or V. */
  readonly level: number;
  /** Where it is written. */
  readonly span: Span;
}

/**
 * A value to set, SI: as it is, or made of what the text or the case says, in which all that it is made of is set already.
 */
export type Setting = Fraction | ((written: Amount) => Fraction);

/** Values to set, by full name. */
export type Settings = ReadonlyMap<string, Setting>;

/** A part with everything that was said of it. */
export interface PartSpec {
  /** Full name, blocks included: `line.hold`. */
  readonly name: string;
  /** What kind it is of. */
  readonly kind: Kind;
  /** The place before the arrow, by its index into `Design.places`. */
  readonly tail: number;
  /** The place behind the arrow. */
  readonly head: number;
  /** The value after the places; absent where a waveform stands, or none. */
  readonly value?: Amount;
  /**
   * What a source follows.
   * @internal
   */
  readonly wave?: Wave;
  /** What its properties say, by their words. */
  readonly amounts: ReadonlyMap<string, Amount>;
  /** The places that its properties name, by their words. */
  readonly places: ReadonlyMap<string, number>;
  /** Words that stand alone. */
  readonly flags?: ReadonlySet<string>;
  /** What commands it. */
  readonly control?: Control;
  /** Full names of the two parts that it couples. */
  readonly couples?: readonly [string, string];
  /** What it is rated for; absent where nothing is said. */
  readonly ratings?: readonly Rating[];
  /** Set by a case. */
  readonly fault?: "open" | "short";
  /** Where its statement stands. */
  readonly span: Span;
}

/** Whether a part alone decides the voltage of its tail against ground: that is its value, or its waveform. */
export function holdsAlone(p: PartSpec): boolean {
  return p.head === 0 && !p.fault && p.kind.ideal?.(p) === "voltage";
}

/** Whether anything is asked of a case, so that it is worth a run. */
export function asksAnything({ checks, shows }: Pick<Design, "checks" | "shows">): boolean {
  return checks.length + shows.length > 0;
}

/** Whether a check can count by a part: a place of its own that follows a waveform. */
export function countable(p: PartSpec): p is PartSpec & { readonly wave: Wave } {
  return p.kind.ownPlace === true && p.wave !== undefined && p.wave.shape.kind !== "constant";
}

/** What is measured in one case, of what and over which time. Times in seconds. */
export interface MeasureSpec {
  /** What is measured. */
  readonly measure: Measure;
  /** Name of the trace: a place, or a part with `.current`, `.voltage`, `.power`, `.clipping`. */
  readonly target: string;
  /** SI unit of the measured value; empty for a share or a count. */
  readonly unit: string;
  /** The instant of measures that need one, s. */
  readonly at?: number;
  /** The level that the trace goes through. */
  readonly through?: Passing;
  /** Signal or place whose periods are measured one by one. */
  readonly each?: string;
  /** Part of each period, from its start. */
  readonly within?: TimeSpan;
  /** Nothing before this instant counts, s. */
  readonly after?: number;
  /** Nothing behind this instant counts, s. */
  readonly before?: number;
  /** Where its statement stands. */
  readonly span: Span;
}

/** A figure that one case shows and nothing is asked of. */
export interface ShowSpec extends MeasureSpec {
  /** As the text calls it. */
  readonly name: string;
}

/** A check of one case, ready to be measured. */
export interface CheckSpec extends MeasureSpec {
  /** As the text calls it. */
  readonly name: string;
  /** What must hold. */
  readonly limit: Limit;
  /** The value that `is` names, SI; of other limits see `aimOf`. */
  readonly aim?: number;
}

/** A capture that the text holds against a trace of one case. */
export interface HeldSpec {
  /** Which samples belong to what, and how they were taken. */
  readonly held: Held;
  /** The checks that are asked of the capture alone. */
  readonly checks: readonly CheckSpec[];
  /** Where its statement stands. */
  readonly span: Span;
}

/** What a value is sought for: `is` names it, `between` means its middle, `below` and `above` the bound itself. */
export function aimOf({ aim, limit: { low, high } }: Pick<CheckSpec, "aim" | "limit">): number {
  if (aim !== undefined) return aim;
  return low !== undefined && high !== undefined ? (low + high) / 2 : (low ?? high)!;
}

/** One value that a `find` seeks. */
export interface UnknownSpec {
  /** Full name of a number: see `numerals`. */
  readonly name: string;
  /** The lowest it may be, SI. */
  readonly from: Fraction;
  /** The highest it may be, SI. */
  readonly to: Fraction;
  /** The preferred values to take it from. */
  readonly series?: Series;
}

/** A `find` of the text: which values to seek so that which checks of which case meet their goals. */
export interface FindSpec {
  /** The values to set. */
  readonly unknowns: readonly UnknownSpec[];
  /** The checks to meet. */
  readonly goals: readonly {
    /** The check's name. */
    readonly check: string;
    /** The case it is asked in; empty for the design as drawn. */
    readonly case: string;
  }[];
  /** Where its statement stands. */
  readonly span: Span;
}

/** A `reading` of the text: what an instrument showed, and where. */
export interface ReadingSpec {
  /** What was measured, as the text says it: `peak of ramp`. */
  readonly phrase: string;
  /** The same, ready to be measured. */
  readonly measured: MeasureSpec;
  /** The case in which it was taken; empty for the design as drawn. */
  readonly case: string;
  /** What was shown, SI. */
  readonly value: number;
  /** The step in which it was shown, SI: twice what it may be off, or one in the last place of what is written; 0 of what is worked out. */
  readonly resolution: number;
  /** Where its statement stands. */
  readonly span: Span;
}

/** A `testpoint` of the text: where to look on the bench. */
export interface TestpointSpec {
  /** What it is called. */
  readonly name: string;
  /** The trace that is seen there: a place, or a part with `.current` and the like. */
  readonly of: string;
  /** Where its statement stands. */
  readonly span: Span;
}

/**
 * A design that compiled: the circuit of one case, its checks, and the other cases. No plain data: it is neither cloned nor written
 * as JSON; its text is what is kept and handed on.
 */
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
  /** Named values by full name, blocks included: `timing`, `line.timing`. */
  readonly givens: ReadonlyMap<string, Amount>;
  /** The checks asked of this case. */
  readonly checks: readonly CheckSpec[];
  /** The figures that are shown of this case. */
  readonly shows: readonly ShowSpec[];
  /** The captures that are held against traces of this case. */
  readonly captures: readonly HeldSpec[];
  /** The design under each case, in the order of the text; empty in a case itself. */
  readonly cases: readonly Design[];
  /** What the text asks to find, in its order; empty in a case. */
  readonly finds: readonly FindSpec[];
  /** What the text says that instruments showed, in its order; empty in a case. */
  readonly readings: readonly ReadingSpec[];
  /** Where the text says to look on the bench, in its order; empty in a case. */
  readonly testpoints: readonly TestpointSpec[];
  /** What the text says of how to run. */
  readonly run: {
    /** Seconds. */
    readonly length?: Fraction;
    /** The state to start from. */
    readonly start: "steady" | "rest" | "settled";
  };
  /**
   * The same text, and the same case, with other values on top of those that were set already, and the cases of these names
   * (all, unless named); what is wrong with it goes to the report. Parts that were changed since are again as the text has
   * them. See `revalued`.
   * @internal
   */
  readonly remake: (values: Settings, report: Report, cases?: readonly string[]) => Design;
  /**
   * What a phrase asks to measure in the case; what is wrong with it goes to the report.
   * @internal
   */
  readonly measuring: (phrase: Phrase, report: Report) => MeasureSpec | undefined;
}
