// A design once its words have meaning: places and parts by index, exact values with their tolerances, waves, cases
// and checks. Everything that a simulation needs, and nothing of how it is done.
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
  /** Its dimension. */
  readonly dimension: Dimension;
  /** Where it is written. */
  readonly span: Span;
  /**
   * Full name of a named value, if this one is written as that name alone; its tolerance is then the named value's, and
   * both vary as one.
   */
  readonly follows?: string;
  /** How it spreads, by the words after it; absent if there are none. */
  readonly spreading?: Spreading;
}

/** How a value spreads within its tolerance, and with temperature. */
export interface Spreading {
  /** `uniform` unless given; see `spreadWords`. */
  readonly shape?: "uniform" | "normal" | "sorted";
  /** Of sorted parts: no value is nearer to nominal than this, as a share of the value or in its unit. */
  readonly gap?: {
    /** The least distance. */
    readonly size: Fraction;
    /** True if that is a share of the value. */
    readonly share: boolean;
    /** Where it is written. */
    readonly span: Span;
  };
  /** The value that it tracks, as written; see `trackedName`. */
  readonly tracks?: {
    /** Name of the other value. */
    readonly name: string;
    /** Where it is written. */
    readonly span: Span;
  };
  /** Change per kelvin, as a share of the value or absolute in its unit. */
  readonly drift?: {
    /** The change, with its own tolerance. */
    readonly amount: Amount;
    /** True if it is in the unit of the value, false if it is a share. */
    readonly absolute: boolean;
  };
  /** Share of the value by which temperature may move it either way. */
  readonly wanders?: Fraction;
}

/** One rating of a part. */
export interface Rating {
  /** The quantity that is limited. */
  readonly of: "power" | "current" | "voltage";
  /** How it is measured. */
  readonly size: "mean" | "peak" | "rms" | "reverse";
  /** The most it bears, W, A or V. */
  readonly level: number;
  /** Where it is written. */
  readonly span: Span;
}

/**
 * A value to set, SI: a fixed one, or a function of the amount that the text or the case gives, in which all that it is made of
 * is set already.
 */
export type Setting = Fraction | ((written: Amount) => Fraction);

/** Values to set, by full name. */
export type Settings = ReadonlyMap<string, Setting>;

/** A part with everything that its statement and the case say of it. */
export interface PartSpec {
  /** Full name, blocks included: `line.hold`. */
  readonly name: string;
  /** Its kind. */
  readonly kind: Kind;
  /** The place before the arrow, by its index into `Design.places`. */
  readonly tail: number;
  /** The place after the arrow. */
  readonly head: number;
  /** The value after the places; absent if a waveform stands there, or nothing. */
  readonly value?: Amount;
  /**
   * The waveform that a source follows.
   * @internal
   */
  readonly wave?: Wave;
  /** Values of its properties, by their words. */
  readonly amounts: ReadonlyMap<string, Amount>;
  /** The places that its properties name, by their words. */
  readonly places: ReadonlyMap<string, number>;
  /** Words that stand alone. */
  readonly flags?: ReadonlySet<string>;
  /** What commands it. */
  readonly control?: Control;
  /** Full names of the two parts that it couples. */
  readonly couples?: readonly [string, string];
  /** Its ratings; absent if it has none. */
  readonly ratings?: readonly Rating[];
  /** Set by a case. */
  readonly fault?: "open" | "short";
  /** Where its statement stands. */
  readonly span: Span;
}

/** Whether a part alone sets the voltage of its tail against ground, as its value or its waveform. */
export function holdsAlone(p: PartSpec): boolean {
  return p.head === 0 && !p.fault && p.kind.ideal?.(p) === "voltage";
}

/** Whether a case has checks or figures to show, so that it is worth a run. */
export function asksAnything({ checks, shows }: Pick<Design, "checks" | "shows">): boolean {
  return checks.length + shows.length > 0;
}

/** Whether a check can count by a part: a place of its own that follows a waveform. */
export function countable(p: PartSpec): p is PartSpec & { readonly wave: Wave } {
  return p.kind.ownPlace === true && p.wave !== undefined && p.wave.shape.kind !== "constant";
}

/** What is measured in one case, on which trace and over which time. Times in seconds. */
export interface MeasureSpec {
  /** The measure. */
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
  /** Nothing after this instant counts, s. */
  readonly before?: number;
  /** Where its statement stands. */
  readonly span: Span;
}

/** A figure that one case shows, without a limit. */
export interface ShowSpec extends MeasureSpec {
  /** As the text calls it. */
  readonly name: string;
}

/** A check of one case, ready to be measured. */
export interface CheckSpec extends MeasureSpec {
  /** As the text calls it. */
  readonly name: string;
  /** The limit that it must keep. */
  readonly limit: Limit;
  /** The value that `is` names, SI; for other limits see `aimOf`. */
  readonly aim?: number;
}

/** A capture that the text compares with a trace of one case. */
export interface HeldSpec {
  /** The capture, the trace it shows, and how its samples were taken. */
  readonly held: Held;
  /** The checks that apply to the capture itself. */
  readonly checks: readonly CheckSpec[];
  /** Where its statement stands. */
  readonly span: Span;
}

/** The value that sizing aims at: the one that `is` names, the middle of `between`, the bound of `below` or `above`. */
export function aimOf({ aim, limit: { low, high } }: Pick<CheckSpec, "aim" | "limit">): number {
  if (aim !== undefined) return aim;
  return low !== undefined && high !== undefined ? (low + high) / 2 : (low ?? high)!;
}

/** One value that a `find` seeks. */
export interface UnknownSpec {
  /** Full name of a number: see `settableValues`. */
  readonly name: string;
  /** The lowest it may be, SI. */
  readonly from: Fraction;
  /** The highest it may be, SI. */
  readonly to: Fraction;
  /** The preferred values to take it from. */
  readonly series?: Series;
}

/** A `find` of the text: the values to seek, and the checks that they must meet. */
export interface FindSpec {
  /** The values to set. */
  readonly unknowns: readonly UnknownSpec[];
  /** The checks to meet. */
  readonly goals: readonly {
    /** The check's name. */
    readonly check: string;
    /** The case it applies to; empty for the design as drawn. */
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
  /** Step of the reading, SI: the width of its tolerance, else one in the last place as written; 0 for a computed value. */
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
 * A design that compiled: the circuit of one case, its checks, and the other cases. It is no plain data and can neither be cloned
 * nor written as JSON: keep and pass on its text instead.
 */
export interface Design {
  /** The title that the text gives, else the text's name without its folders. */
  readonly title: string;
  /** Name of the text, e.g. its file. */
  readonly name: string;
  /** Empty for the design as drawn. */
  readonly caseName: string;
  /** Names by index; 0 is `ground`. */
  readonly places: readonly string[];
  /** Every part once blocks are opened, supplies and signals included, in the order of the text. */
  readonly parts: readonly PartSpec[];
  /** Named values by full name, blocks included: `timing`, `line.timing`. */
  readonly givens: ReadonlyMap<string, Amount>;
  /** The checks of this case. */
  readonly checks: readonly CheckSpec[];
  /** The figures that are shown of this case. */
  readonly shows: readonly ShowSpec[];
  /** The captures that are compared with traces of this case. */
  readonly captures: readonly HeldSpec[];
  /** The design under each case, in the order of the text; empty in a case itself. */
  readonly cases: readonly Design[];
  /** What the text asks to find, in its order; empty in a case. */
  readonly finds: readonly FindSpec[];
  /** The readings of instruments that the text gives, in its order; empty in a case. */
  readonly readings: readonly ReadingSpec[];
  /** The test points that the text names, in its order; empty in a case. */
  readonly testpoints: readonly TestpointSpec[];
  /** How to run, as the text says. */
  readonly run: {
    /** Seconds. */
    readonly length?: Fraction;
    /** The state to start from. */
    readonly start: "steady" | "rest" | "settled";
  };
  /**
   * The same text and the same case, with other values on top of those that were set already, and the cases of these names
   * (all of them by default). Mistakes go to the report. Parts that were changed since are again as in the text. See
   * `revalued`.
   * @internal
   */
  readonly remake: (values: Settings, report: Report, cases?: readonly string[]) => Design;
  /**
   * The measurement that a phrase asks for in the case; mistakes go to the report.
   * @internal
   */
  readonly measuring: (phrase: Phrase, report: Report) => MeasureSpec | undefined;
}
