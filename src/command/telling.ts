// Mistakes, reported on standard error.
import { DesignError, type Diagnostic } from "../base/diagnostic.js";
import { showDiagnostic } from "../syntax/show.js";
import type { Source } from "./input.js";
import { printable, tell } from "./output.js";
import { asTyped } from "./refusal.js";

/** Mistakes in a text, which comes along to show where. */
export class TextError extends DesignError {
  constructor(
    diagnostics: readonly Diagnostic[],
    readonly source: Source,
  ) {
    super(diagnostics);
  }
}

/** Tells mistakes: those in a text with its lines, those in options as they are typed. */
export function tellDiagnostics(error: DesignError, options: readonly string[] = []): void {
  if (error instanceof TextError) {
    showAll(error.diagnostics, error.source);
    return;
  }
  for (const { message, hint } of error.diagnostics) {
    const words = asTyped(hint ? `${message} (${hint})` : message);
    const typed = words.replace(/^([a-z]+)(?=: )/, (name) => (options.includes(name) ? `--${name}` : name));
    tell(`rampwright: ${printable(typed)}`);
  }
}

/** Tells the diagnostics of a text, each with its line. */
export function showAll(diagnostics: readonly Diagnostic[], source: Source): void {
  for (const d of diagnostics) tell(showDiagnostic(d, source.text, source.name));
  const errors = diagnostics.filter((d) => d.severity === "error").length;
  if (errors > 0) tell(`${errors} ${errors === 1 ? "mistake" : "mistakes"}; nothing was simulated`);
}
