// From FILE to a design, for every verb alike.
// Takes what stands on the command line; gives the design with its text, or tells what is wrong. Always: diagnostics
// go to standard error as text, or to standard output as one JSON object where that was asked for.
import { DesignError, type Diagnostic } from "../base/diagnostic.js";
import { inspect } from "../compile.js";
import type { Design } from "../design/design.js";
import { showDiagnostic } from "../syntax/show.js";
import { schemaVersion } from "../waveforms/writing.js";
import { type Brought, remembering } from "./brought.js";
import { readSource, type Source } from "./input.js";
import { printable, say, tell } from "./output.js";
import { EarlyEnd, status } from "./refusal.js";

/** A design that compiled. */
export interface Loaded {
  readonly design: Design;
  readonly source: Source & { readonly brought: Brought };
}

/** Thrown when diagnostics were told and nothing more is to be said. */
export class Refused extends Error {}

/**
 * Reads and compiles a design; warnings are told on the way.
 * @throws Refused when it is wrong, after telling why
 */
export function load(file: string, json = false): Loaded {
  const source = remembering(readDesign(file, json));
  const { design, diagnostics } = inspect(source.text, {
    name: source.name,
    resolve: source.resolve,
    pictures: source.pictures,
  });
  if (!design) refuseText(diagnostics, source, json);
  showAll(diagnostics, source);
  return { design: design, source };
}

/** Does something that may refuse its options, e.g. simulating a case that is not there. */
export function attempt<T>(action: () => T, json: boolean): T {
  try {
    return action();
  } catch (error) {
    return refused(error, json);
  }
}

/** The same of something that goes on in threads. */
export async function attemptAll<T>(action: () => Promise<T>, json: boolean): Promise<T> {
  try {
    return await action();
  } catch (error) {
    return refused(error, json);
  }
}

function refused(error: unknown, json: boolean): never {
  if (!(error instanceof DesignError)) throw error;
  if (json) sayDiagnostics(error.diagnostics);
  for (const d of error.diagnostics) {
    tell(`rampwright: ${printable(d.message)}${d.hint ? ` (${printable(d.hint)})` : ""}`);
  }
  throw new Refused();
}

/** A number of workers as the command line has it. @throws Trouble where it is none */
export function workersOf(words: string | undefined, otherwise: number): number {
  const workers = words === undefined ? otherwise : words.trim() === "" ? Number.NaN : Number(words);
  if (!(Number.isInteger(workers) && workers >= 1 && workers <= 256))
    throw new EarlyEnd("--workers: a whole number from 1 to 256", status.wrong);
  return workers;
}

/** Tells every diagnostic, then refuses. */
export function refuseText(diagnostics: readonly Diagnostic[], source: Source, json: boolean): never {
  if (json) sayDiagnostics(diagnostics);
  showAll(diagnostics, source);
  throw new Refused();
}

/** Reads a source; under `--json` a file that cannot be read is a diagnostic as well. */
export function readDesign(file: string, json = false): Source {
  try {
    return readSource(file);
  } catch (error) {
    if (json && error instanceof EarlyEnd) {
      const span = { line: 1, column: 1, length: 0 };
      sayDiagnostics([{ code: "unreadable-file", severity: "error", message: error.message, span }]);
    }
    throw error;
  }
}

function sayDiagnostics(diagnostics: readonly Diagnostic[]): void {
  say(`${JSON.stringify({ schemaVersion, diagnostics }, null, 2)}\n`);
}

function showAll(diagnostics: readonly Diagnostic[], source: Source): void {
  for (const d of diagnostics) tell(showDiagnostic(d, source.text, source.name));
  const errors = diagnostics.filter((d) => d.severity === "error").length;
  if (errors > 0) tell(`${errors} ${errors === 1 ? "mistake" : "mistakes"}; nothing was simulated`);
}

/** The status that a thrown value stands for; tells its line where it has one. */
export function statusOf(error: unknown): number {
  if (error instanceof Refused) return status.wrong;
  if (error instanceof EarlyEnd) {
    tell(`rampwright: ${printable(error.message)}`);
    return error.exit;
  }
  // A mistake of the program's own: said in one line all the same, the place goes into a bug report.
  const what = error instanceof Error ? (error.message.split("\n")[0] ?? "") : String(error);
  tell(`rampwright: a mistake in Rampwright itself, please report it: ${printable(what)}`);
  return status.stopped;
}
