// The tree of a design text: what was written and where, but not what it means. Kinds of parts, words of properties
// and names of measures are plain words here; later stages give them meaning.
import type { Span } from "../base/span.js";

/** A word as written, with its place. `text` is in Unicode normal form C. */
export interface Word {
  readonly text: string;
  readonly span: Span;
}

/** A name that may reach into a block or a part: `line.ramp`, `reset.current`. */
export interface Reference {
  /** The words between the dots, at least one. */
  readonly path: readonly Word[];
  readonly span: Span;
}

/** An expression of exact quantities. */
export type Expression =
  /** A number with its unit words as written: `1.25 mA`, `10 V/ms`, `5 %`, `4K7`. `unit` and `per` may be absent. */
  | {
      readonly type: "number";
      readonly digits: Word;
      readonly unit?: Word;
      readonly per?: Word;
      readonly span: Span;
    }
  | { readonly type: "name"; readonly reference: Reference; readonly span: Span }
  | { readonly type: "negative"; readonly of: Expression; readonly span: Span }
  | {
      readonly type: "binary";
      readonly operator: "+" | "-" | "*" | "/";
      readonly left: Expression;
      readonly right: Expression;
      readonly span: Span;
    };

/** `+- 5 %`, `± 20 mV`, `-20 % / +80 %`: amounts below and above, both as written without their sign. */
export interface ToleranceClause {
  readonly below: Expression;
  readonly above: Expression;
  readonly span: Span;
}

/** A value with the tolerance that belongs to it. */
export interface Valued {
  readonly value: Expression;
  readonly tolerance?: ToleranceClause;
  readonly span: Span;
}

/** A named property: a word and what follows it up to the next comma. */
export interface Property {
  readonly word: Word;
  readonly value: PropertyValue;
  readonly span: Span;
}

/** What may follow the word of a property. */
export type PropertyValue =
  /**
   * `headroom 0.9 V`, `tap wiper` (a place is an expression that is a lone name). A word after it qualifies it:
   * `rated 1 A peak`; or `at` says where it holds: `loses 20 % at 5 V`.
   */
  | { readonly type: "amount"; readonly amount: Valued; readonly how?: Word; readonly at?: Expression }
  /** `closed while gate above 2.5 V`. */
  | {
      readonly type: "while";
      readonly place: Reference;
      readonly side: "above" | "below";
      readonly level: Expression;
    }
  /** `closed from 1 ms to 2 ms`, `closed after 3 ms`, `closed before 2 ms`. */
  | { readonly type: "times"; readonly from?: Expression; readonly to?: Expression }
  /** A bare word, e.g. `retriggerable`. */
  | { readonly type: "bare" };

/** The shape of a signal in time. */
export type Waveform = {
  readonly properties: readonly Property[];
  readonly span: Span;
} /** `pulse 0 V to 5 V, wide 4.7 us, every 64 us, edges 200 ns`; likewise `sine -1 V to 1 V, at 1 kHz`. */ & (
  | {
      readonly type: "pulse" | "sine";
      readonly low: Expression;
      readonly high: Expression;
    }
  /** `line sync of 625/50, 0 V to 5 V, edges 200 ns`; `which` is the word before `sync`. */
  | {
      readonly type: "sync";
      readonly which: Word;
      /** As written, e.g. `625/50` or `525/59.94`. */
      readonly system: Word;
      readonly low: Expression;
      readonly high: Expression;
    }
  /** `video of 625/50, crosshatch, across 17`; `picture "robin"` shows pixels that the caller hands in. */
  | {
      readonly type: "video";
      readonly system: Word;
      /** One word or two with a blank between them. */
      readonly pattern: Word;
      /** The text in quotes behind the pattern, without them. */
      readonly picture?: Word;
    }
  /** `noise 5 mV, spacing 100 ns, every 10 ms, seed 7`; the size is a root mean square. */
  | {
      readonly type: "noise";
      readonly size: Expression;
    }
  /** `capture "jack.csv", channel 2`: samples of an instrument, which the caller hands in. */
  | {
      readonly type: "capture";
      /** The text in quotes, without them. */
      readonly path: Word;
    }
  /** `path 0 V at 0 s, 5 V at 1 ms, 0 V at 2 ms, every 4 ms`. */
  | {
      readonly type: "path";
      readonly points: readonly {
        readonly level: Expression;
        readonly time: Expression;
        readonly span: Span;
      }[];
    }
);

/** One change that a case makes: `gate stops at 2 ms`, `plus5 dead`, `charge is 1.1 mA`, `guard open`. */
export interface Change {
  readonly target: Reference;
  /** `stops`, `starts`, `scaled`, `is`, `open`, `short`, `dead`, or another word (a later stage refuses it). */
  readonly verb: Word;
  /** The value of `is` or `scaled`; `at` is a time. */
  readonly amount?: Valued;
  readonly at?: Expression;
  /** Of `is`, in place of a value. It ends its case, since the commas after it are its own. */
  readonly wave?: Waveform;
  readonly span: Span;
}

/** The span of time over which a measure is taken. */
export interface SpanClause {
  /** `each gate`: once for each period of this signal. */
  readonly each?: Reference;
  /** `from A to B` after `each`: counted from the start of each period. */
  readonly within?: { readonly from: Expression; readonly to: Expression };
  /** `after A`, `before B`, `from A to B` without `each`: times of the run. */
  readonly after?: Expression;
  readonly before?: Expression;
}

/** What is measured, on what, and over which span of time. */
export interface MeasureClause {
  /** The words before `of`: `peak`, `sweep error`. */
  readonly measure: readonly Word[];
  readonly target: Reference;
  /** `at 52 us` */
  readonly at?: Expression;
  /** `rising through 2.5 V`, `falling through 1 V`, `through 0 V`. */
  readonly through?: { readonly direction?: Word; readonly level: Expression };
  readonly window: SpanClause;
}

/** What a check requires of a measured value. */
export type LimitClause =
  | { readonly type: "is"; readonly amount: Valued; readonly span: Span }
  | { readonly type: "below" | "above"; readonly level: Expression; readonly span: Span }
  | { readonly type: "between"; readonly low: Expression; readonly high: Expression; readonly span: Span };

/** `in every case`, `in case "dead"`. */
export type CaseScope = { readonly type: "every" } | { readonly type: "case"; readonly name: Title };

/** Where a check applies: in a case, `in capture`, `in capture "ramp.csv"`. */
export type CheckScope = CaseScope | { readonly type: "capture"; readonly path?: Title };

/** One value to be found: `timing from 1 nF to 100 nF in E12`. */
export interface UnknownClause {
  readonly target: Reference;
  readonly from: Expression;
  readonly to: Expression;
  /** Name of the series of preferred values. */
  readonly series?: Word;
  readonly span: Span;
}

/** A name, its value and its properties. */
interface NamedValue {
  readonly name: Word;
  readonly amount: Valued;
  /** How the value spreads; for a supply also its ratings. */
  readonly properties: readonly Property[];
}

/**
 * A statement; the span of a block is that of its first line. Order in the file matters only for cases: checks after a case
 * belong to it.
 */
export type Statement = { readonly span: Span } & (
  | { readonly type: "title"; readonly text: string }
  | { readonly type: "bring"; readonly path: Word }
  | ({ readonly type: "given" } & NamedValue)
  | ({ readonly type: "supply" } & NamedValue)
  | { readonly type: "signal"; readonly name: Word; readonly wave: Waveform }
  | {
      readonly type: "part";
      readonly kind: Word;
      readonly name: Word;
      readonly tail: Reference;
      readonly head: Reference;
      readonly amount?: Valued;
      /** In place of `amount`, where a source follows a waveform. */
      readonly wave?: Waveform;
      readonly properties: readonly Property[];
    }
  | {
      readonly type: "block";
      readonly name: Word;
      readonly places: readonly Word[];
      readonly body: readonly Statement[];
      /** The text that it is brought from; its spans are in that text. */
      readonly from?: string;
      /** Span of the word `end`, if the block was read from a text. */
      readonly end?: Span;
    }
  | {
      readonly type: "use";
      readonly block: Word;
      readonly name: Word;
      readonly places: readonly Reference[];
      readonly values: readonly { readonly name: Word; readonly amount: Valued }[];
    }
  | {
      readonly type: "run";
      readonly length: Expression;
      /** `from rest`: the word after `from`. */
      readonly start?: Word;
    }
  | { readonly type: "case"; readonly name: Title; readonly changes: readonly Change[] }
  | (MeasureClause & {
      readonly type: "check";
      readonly name: Title;
      readonly limit: LimitClause;
      /** Absent: the case it stands under. */
      readonly scope?: CheckScope;
    })
  /** `show "top" peak of ramp`: a figure without a limit. */
  | (MeasureClause & {
      readonly type: "show";
      readonly name: Title;
      /** Absent: the case it stands under. */
      readonly scope?: CaseScope;
    })
  /** `capture "ramp.csv" of ramp, channel 1, attenuated 10`: a trace as an instrument recorded it. */
  | {
      readonly type: "capture";
      readonly path: Word;
      readonly of: Reference;
      /** `in case "dead"`; absent: the case it stands under. */
      readonly scope?: Title;
      readonly properties: readonly Property[];
    }
  | {
      readonly type: "find";
      readonly unknowns: readonly UnknownClause[];
      /** Names of checks. */
      readonly goals: readonly Title[];
    }
  /** `reading "peak of ramp" 5.6 V +- 50 mV in case "camera unplugged"`: what an instrument showed. */
  | {
      readonly type: "reading";
      /** What was measured, in the words of a check. */
      readonly phrase: Title;
      /** What was shown, and its tolerance. */
      readonly amount: Valued;
      /** The case; absent: the one it stands under. */
      readonly scope?: CaseScope;
    }
  /** `testpoint "top of the timing capacitor" at ramp`: where to look on the bench. */
  | {
      readonly type: "testpoint";
      readonly name: Title;
      readonly of: Reference;
    }
);

/** A statement of one type, or of some. */
export type StatementOf<T extends Statement["type"]> = Statement & { readonly type: T };

/** Text in quotes, without them. */
export interface Title {
  readonly text: string;
  readonly span: Span;
}

/** A comment, `#` included, and whether it stands on a line of its own. */
export interface Comment {
  readonly text: string;
  readonly span: Span;
  readonly alone: boolean;
}

/** A whole design text. */
export interface Tree {
  readonly statements: readonly Statement[];
  readonly comments: readonly Comment[];
}
