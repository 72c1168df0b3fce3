// From a text to a design: read and elaborate it, then return the design or all its mistakes.

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
  /** Name of the text, e.g. its file; used in messages, and, without its folders, as the title if the text has none. */
  readonly name?: string;
  /** Returns the text that a `bring` statement names; without it nothing can be brought. */
  readonly resolve?: Resolver;
  /** Kinds of part in addition to those of the language. */
  readonly kinds?: readonly Kind[];
  /** Measures in addition to those of the language. */
  readonly measures?: readonly Measure[];
  /** Returns the pixels of a picture that a video signal shows, by name; without it there are none. */
  readonly pictures?: Pictures;
  /** Returns an instrument's file by its path, as text or bytes, or as a capture; without it there are none. */
  readonly captures?: Captures;
}

/** A text inspected without throwing: all diagnostics, and the design if none is an error. */
export interface Inspection {
  /** In the order of the text; includes warnings. */
  readonly diagnostics: readonly Diagnostic[];
  /** Absent if a diagnostic is an error. */
  readonly design?: Design;
}

/**
 * Inspects a design text; whatever it says, nothing is thrown.
 *
 * @category Designs
 * @example
 * ```ts
 * const { diagnostics, design: none } = inspect("resistor load ramp -> ground 15 nF");
 * diagnostics[0].code; // "wrong-dimension"
 * none === undefined; // true
 * ```
 * @throws DesignError `bad-option` for unknown options, `bad-kind` or `bad-measure` for one that breaks its contract
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
 * @throws DesignError with every diagnostic if the text is not a sound design
 */
export function compile(text: string, options: CompileOptions = {}): Design {
  const { design, diagnostics } = inspect(text, options);
  if (!design) throw new DesignError(diagnostics);
  return design;
}
