// What the page and its engine say to each other. Plain data, so that it passes between threads.
import type { Diagnostic } from "../base/diagnostic.js";
import type { Dimension } from "../base/dimension.js";
import type { Suggestion } from "../editor/suggestions.js";
import type { Capture, Channel } from "../instruments/capture.js";
import type { Decider, KeptStack, StackPanel } from "../report/stack.js";
import type { TraceData } from "../waveforms/trace.js";

/** A value that can be turned. */
export interface Knob {
  /** Full name, as `withValues` takes it. */
  readonly name: string;
  readonly dimension: Dimension;
  /** Unit as it is shown; `%` for a share. */
  readonly unit: string;
  /** As the text says, SI. */
  readonly value: number;
  /** The ends of its way, SI; absent where none is stated and nothing suggests one. */
  readonly from?: number;
  readonly to?: number;
  /** Equal ratios are equally far apart. */
  readonly log: boolean;
  /** It stands inside a block. */
  readonly inside: boolean;
}

/** A case of the design; the first is the design as drawn, without a name. */
export interface LiveCase {
  readonly name: string;
  readonly checks: number;
  /** Knobs that it sets itself, and to what, SI. */
  readonly sets: Readonly<Record<string, number>>;
}

/** A design as the page needs it. */
export interface LiveDesign {
  readonly title: string;
  readonly knobs: readonly Knob[];
  readonly cases: readonly LiveCase[];
  /** It has to do with a picture tube. */
  readonly tube: boolean;
  /** Its run is worth a first look at one field of it. */
  readonly staged: boolean;
}

/** A panel of waveforms: plain data of its trace, and its limits. */
export interface LivePanel extends Omit<StackPanel, "trace"> {
  readonly trace: TraceData;
}

/** Panels over one time axis. */
export interface LiveGroup extends Omit<KeptStack<LivePanel>, "deciders"> {}

/** A row of the table of verdicts, in words. */
export interface LiveVerdict {
  readonly name: string;
  readonly what: string;
  readonly measured: string;
  readonly limit: string;
  readonly margin: string;
  readonly note: string;
  readonly pass: boolean;
}

/** A picture of a tube, in greys. */
export interface LivePicture {
  readonly tube: string;
  readonly width: number;
  readonly height: number;
  readonly grey: Uint8Array;
  /** Width over height as it is seen. */
  readonly aspect: number;
  readonly words: string;
  /** All lines are in it. */
  readonly whole: boolean;
}

/** What is to be run. */
export interface Turn {
  /** Counts up; what belongs to an older one is not shown. */
  readonly turn: number;
  /** Values in place of those of the text, SI. */
  readonly values: Readonly<Record<string, number>>;
  readonly case: string;
  /** The first look of a long run, all of it, or no more than its verdicts. */
  readonly part: "first" | "all" | "verdicts";
}

/** What a text stands for, and what it brings. */
export interface LiveText {
  /** Counts up with every change of the text. */
  readonly edition: number;
  readonly text: string;
  readonly name: string;
}

/** Where in a text it is asked what may be written. */
export interface OfferPlace {
  /** Counts up with every question. */
  readonly number: number;
  readonly text: string;
  /** From 0; and UTF-16 code units before it in the line. */
  readonly line: number;
  readonly character: number;
}

/** What can be taken home of a run. */
export type Keepsake = "svg" | "csv";

/** To the engine. */
export type Request =
  | { readonly type: "begin"; readonly brought: PackedBrought }
  | ({ readonly type: "text" } & LiveText)
  | ({ readonly type: "run" } & Turn)
  | { readonly type: "stop" }
  | ({ readonly type: "offer" } & OfferPlace)
  | { readonly type: "keep"; readonly what: Keepsake; readonly group: number }
  | { readonly type: "decide"; readonly check: number };

/** A picture as bytes in base 64, two a pixel. */
export interface PackedPixels {
  readonly width: number;
  readonly height: number;
  readonly bytes: string;
}

/** A capture, its samples as the bytes of doubles in base 64. */
export interface PackedCapture extends Pick<Capture, "name" | "holes"> {
  readonly time: string;
  readonly channels: readonly (Omit<Channel, "value"> & { readonly value: string })[];
}

/** What a design brings from its folder; of what is of no use the reason stands in its place. */
export interface PackedBrought {
  readonly texts: Readonly<Record<string, string>>;
  readonly pictures: Readonly<Record<string, PackedPixels | string>>;
  readonly captures: Readonly<Record<string, PackedCapture | string>>;
}

/** From the engine. */
export type Reply =
  | { readonly type: "ready" }
  | {
      readonly type: "text";
      readonly edition: number;
      readonly diagnostics: readonly Diagnostic[];
      readonly design?: LiveDesign;
    }
  | { readonly type: "waves"; readonly turn: number; readonly groups: readonly LiveGroup[] }
  | ({ readonly type: "verdicts"; readonly turn: number; readonly case: string } & LiveVerdicts)
  | { readonly type: "picture"; readonly turn: number; readonly picture: LivePicture }
  | { readonly type: "refused"; readonly turn: number; readonly diagnostics: readonly Diagnostic[] }
  | {
      readonly type: "done";
      readonly turn: number;
      /** False where another message ended it. */
      readonly finished: boolean;
    }
  | { readonly type: "offers"; readonly number: number; readonly offers: readonly Suggestion[] }
  | ({ readonly type: "decided"; readonly turn: number } & LiveDecision)
  | { readonly type: "kept"; readonly what: Keepsake; readonly text: string }
  | { readonly type: "broken"; readonly reason: string };

/** The verdicts of a run, and what is doubtful about it. */
export interface LiveVerdicts {
  readonly verdicts: readonly LiveVerdict[];
  readonly doubts: readonly string[];
}

/** Where a check of the run that is shown was decided. */
export interface LiveDecision {
  readonly check: number;
  readonly decider: Decider;
  /** Which of the groups shows it. */
  readonly at: number;
  /** That group, where it is one more than the run has by itself. */
  readonly group?: LiveGroup;
}
