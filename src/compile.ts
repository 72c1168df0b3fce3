// From a text to a design: read, elaborate, and either give the design or everything that is wrong with it.

import { asked, refuseOption } from "./base/asked.js";
import { DesignError, type Diagnostic } from "./base/diagnostic.js";
import { gather, type Resolver } from "./design/bring.js";
import { CaptureFiles, type Captures } from "./design/capturefiles.js";
import type { Design } from "./design/design.js";
import { elaborate } from "./design/elaborate.js";
import { type Pictures, VideoWaves } from "./design/videowave.js";
import { vocabularyOf } from "./design/vocabulary.js";
import type { Measure } from "./measures/window.js";
import type { Kind } from "./parts/contract.js";
import { read } from "./syntax/read.js";

/** How to compile. */
export interface CompileOptions {
  /** Name of the text, e.g. its file; it stands in messages and as the title where the text has none. */
  readonly name?: string;
  /** Gives the text of what a `bring` statement names; without it nothing can be brought. */
  readonly resolve?: Resolver;
  /** Kinds of part besides those that the language has. */
  readonly kinds?: readonly Kind[];
  /** Measures besides those that it has. */
  readonly measures?: readonly Measure[];
  /** Gives the pixels of a picture that a video signal shows by name; without it there are none. */
  readonly pictures?: Pictures;
  /** Gives what an instrument has written by its path, text or bytes, or a capture; without it there are none. */
  readonly captures?: Captures;
}

/** A text looked at without throwing: all that was found, and the design where there is no error. */
export interface Inspection {
  /** In the order of the text; warnings too. */
  readonly diagnostics: readonly Diagnostic[];
  /** Absent where a diagnostic is an error. */
  readonly design?: Design;
}

/**
 * Looks at a design text; whatever it says, nothing is thrown.
 *
 * @category Designs
 * @example
 * ```ts
 * const { diagnostics, design: none } = inspect("resistor load ramp -> ground 15 nF");
 * diagnostics[0].code; // "wrong-dimension"
 * none === undefined; // true
 * ```
 * @throws DesignError `bad-option` for options that are none, `bad-kind` or `bad-measure` for one that breaks its contract
 */
export function inspect(text: string, options: CompileOptions = {}): Inspection {
  asked(options, {
    name: "text",
    resolve: "function",
    pictures: "function",
    captures: "function",
    kinds: "object",
    measures: "object",
  });
  if (typeof text !== "string") refuseOption("text", "expected a text");
  const vocabulary = vocabularyOf(options.kinds, options.measures);
  const words = vocabulary.kinds.map((kind) => kind.word);
  const { tree, report } = read(text, { kinds: words });
  const design = elaborate(
    gather(tree, options.resolve, words, report),
    options.name ?? "design",
    vocabulary,
    { videoWaves: new VideoWaves(options.pictures), captures: new CaptureFiles(options.captures) },
    report,
  );
  return report.failed ? { diagnostics: report.diagnostics } : { diagnostics: report.diagnostics, design };
}

/**
 * Compiles a design text.
 *
 * @category Designs
 * @example
 * ```ts
 * const divider = compile("supply plus12 = 12 V\nresistor top plus12 -> mid 1 kohm\nresistor foot mid -> ground 2 kohm");
 * divider.parts.map((part) => part.name); // ["plus12", "top", "foot"]
 * ```
 * @throws DesignError with every diagnostic when the text is not a sound design
 */
export function compile(text: string, options: CompileOptions = {}): Design {
  const { design, diagnostics } = inspect(text, options);
  if (!design) throw new DesignError(diagnostics);
  return design;
}
