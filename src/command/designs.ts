/**
 * Designs in files, for programs under Node: read with all that they bring, and run in parallel threads. The main entry reads no
 * files and needs no Node.
 *
 * @module rampwright/node
 */
import { asked } from "../base/asked.js";
import { DesignError, type Diagnostic, refusal } from "../base/diagnostic.js";
import { handedText } from "../base/handed.js";
import { inspect } from "../compile.js";
import type { Design } from "../design/design.js";
import type { Pictures, Pixels, Unusable } from "../design/videowave.js";
import { type Brought, remembering } from "../files/brought.js";
import { folderOf, type Resolvers, resolvers } from "../files/neighbours.js";
import { luminance } from "../files/pixels.js";
import { withGiven } from "../judging/settable.js";
import type { CheckResult } from "../judging/verify.js";
import type { Limits } from "../simulation/options.js";
import { everyCase } from "./allruns.js";
import { readSource, type Source } from "./input.js";
import { EarlyEnd } from "./refusal.js";

export type { CheckResult, Design, DesignError, Diagnostic, Limits, Pictures, Pixels, Resolvers, Unusable };

/** How a design is read. */
export interface ReadDesignOptions {
  /** Values that replace those of the text, by full name: `{ timing: "18 nF" }`. */
  readonly with?: Readonly<Record<string, string>>;
}

/** How the runs of a design are distributed. */
export interface VerifyFileOptions extends ReadDesignOptions {
  /** Number of threads; by default one per core, or a single one if that takes less time. */
  readonly workers?: number;
  /** When the design as drawn ends, as text; each case ends as it says. */
  readonly until?: string;
  /** The most that a run may take. */
  readonly limits?: Limits;
}

/**
 * Reads a design from a file, with the texts and pictures (PNG) that it brings from the file's folder.
 *
 * @category Designs
 * @example
 * ```ts
 * const slower = readDesign("examples/line.ramp", { with: { timing: "18 nF" } });
 * slower.title; // "Nest-box monitor, line sweep"
 * ```
 * @throws DesignError for mistakes in it, or `unreadable-file`
 */
export function readDesign(file: string, options: ReadDesignOptions = {}): Design {
  handedText(file, "file");
  asked(options, { with: "object" });
  return loaded(file, options).design;
}

/**
 * Reads a design from a file and runs it with all its cases, in parallel threads; gives the verdicts in the order of the text,
 * with the same bits for any number of threads.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * const results = await verifyFile("examples/line.ramp", { workers: 1 });
 * results.every((result) => result.pass); // true
 * ```
 * @throws DesignError for mistakes in it, `unreadable-file`, or `run-lost` if a run ended its thread at every attempt
 */
export async function verifyFile(file: string, options: VerifyFileOptions = {}): Promise<CheckResult[]> {
  handedText(file, "file");
  asked(options, { with: "object", workers: "number", until: "text", limits: "object" });
  const { workers, until, limits } = options;
  const results: CheckResult[] = [];
  const wanted = { simulate: { until, limits } };
  try {
    await everyCase(loaded(file, options), wanted, workers, (left) => {
      for (const result of left.results) results.push(result);
    });
  } catch (error) {
    throw error instanceof EarlyEnd ? refusal(error.code ?? "run-lost", error.message) : error;
  }
  return results;
}

/**
 * What a design in a folder may bring from it: texts and pictures, as `compile` takes them. Nothing outside the folder is read.
 *
 * @category Designs
 * @example
 * ```ts
 * const words = readFileSync("examples/board.ramp", "utf8");
 * compile(words, folderResolvers("examples")).title; // "Nest-box monitor"
 * ```
 */
export function folderResolvers(folder: string): Resolvers {
  return resolvers(folder, luminance);
}

function loaded(
  file: string,
  { with: values }: ReadDesignOptions,
): { readonly design: Design; readonly source: Source & { readonly brought: Brought } } {
  try {
    const source = readSource(file);
    const { brought, ...near } = remembering(folderResolvers(folderOf(file)));
    const { design, diagnostics } = inspect(source.text, { name: source.name, ...near });
    if (!design) throw new DesignError(diagnostics);
    return {
      design: values ? withGiven(design, values, "with") : design,
      source: { ...source, values, brought },
    };
  } catch (error) {
    throw error instanceof EarlyEnd ? refusal(error.code ?? "unreadable-file", error.message) : error;
  }
}
