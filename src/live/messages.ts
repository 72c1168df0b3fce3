// What the page and its engine send each other. Plain data, so that it can pass between threads.
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
  /** Unit as shown; `%` for a share. */
  readonly unit: string;
  /** As in the text, SI. */
  readonly value: number;
  /** The ends of its range, SI; absent if none is stated or suggested. */
  readonly from?: number;
  readonly to?: number;
  /** Logarithmic: equal ratios are equally far apart. */
  readonly log: boolean;
  /** Whether it is inside a block. */
  readonly inside: boolean;
}

/** A case of the design; the first is the design as drawn, without a name. */
export interface LiveCase {
  readonly name: string;
  readonly checks: number;
  /** Knobs that it sets, and their values, SI. */
  readonly sets: Readonly<Record<string, number>>;
}

/** A design as the page needs it. */
export interface LiveDesign {
  readonly title: string;
  readonly knobs: readonly Knob[];
  readonly cases: readonly LiveCase[];
  /** Whether it has to do with a picture tube. */
  readonly tube: boolean;
  /** Whether its run is long enough for a first look at one field. */
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
  /** Width over height on the screen. */
  readonly aspect: number;
  /** How far it reaches beyond the screen's edges, as a share of the screen; absent if it shows the screen alone. */
  readonly around?: number;
  readonly words: string;
  /** Whether all lines are in it. */
  readonly whole: boolean;
}

/** What to run. */
export interface Turn {
  /** Counts up; results of older ones are not shown. */
  readonly turn: number;
  /** Values that replace those of the text, SI. */
  readonly values: Readonly<Record<string, number>>;
  readonly case: string;
  /** The first look of a long run, all of it, or only its verdicts. */
  readonly part: "first" | "all" | "verdicts";
}

/** A text and its number. */
export interface LiveText {
  /** Counts up with every change of the text. */
  readonly edition: number;
  readonly text: string;
  readonly name: string;
}

/** A position in a text at which offers are asked for. */
export interface OfferPlace {
  /** Counts up with every question. */
  readonly number: number;
  readonly text: string;
  /** Line from 0, and UTF-16 code units before the position in it. */
  readonly line: number;
  readonly character: number;
}

/** What can be saved of a run. */
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

/** A picture as bytes in base64, two per pixel. */
export interface PackedPixels {
  readonly width: number;
  readonly height: number;
  readonly bytes: string;
}

/** A capture; its samples are doubles as bytes in base64. */
export interface PackedCapture extends Pick<Capture, "name" | "holes" | "warnings"> {
  readonly time: string;
  readonly channels: readonly (Omit<Channel, "value"> & { readonly value: string })[];
}

/** What a design brings from its folder; for what is unusable, the reason instead. */
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
  | { readonly type: "done"; readonly turn: number }
  | { readonly type: "offers"; readonly number: number; readonly offers: readonly Suggestion[] }
  | ({ readonly type: "decided"; readonly turn: number } & LiveDecision)
  | { readonly type: "kept"; readonly what: Keepsake; readonly text: string }
  | { readonly type: "broken"; readonly reason: string };

/** The verdicts of a run, and the doubts about it. */
export interface LiveVerdicts {
  readonly verdicts: readonly LiveVerdict[];
  readonly doubts: readonly string[];
  /** Whether it stopped early. */
  readonly stopped: boolean;
}

/** Where a check of the run that is shown was decided. */
export interface LiveDecision {
  readonly check: number;
  readonly decider: Decider;
  /** Index of the group that shows it. */
  readonly at: number;
  /** That group, if it is not one of the run's own. */
  readonly group?: LiveGroup;
}
