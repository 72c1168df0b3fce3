// Mistakes as data. A stage does not throw: it adds diagnostics to a report and goes on, so that one pass finds
// every mistake. `compile` and `simulate` turn a report into an error.
import { placeWords, type Span, wholeText } from "./span.js";

/** How bad a diagnostic is: an error stops the design from compiling, a warning does not. */
export type Severity = "error" | "warning";

/** A replacement of one stretch of text that mends the mistake. */
export interface Fix {
  /** The text to replace. */
  readonly span: Span;
  /** What to put there. */
  readonly text: string;
}

/** One mistake or doubt, with its place, its reason and, where known, a mend. */
export interface Diagnostic {
  /** Stable code in kebab case, e.g. `unknown-place`. */
  readonly code: string;
  /** How bad it is. */
  readonly severity: Severity;
  /** What is wrong, one sentence, no line breaks. */
  readonly message: string;
  /** Where. */
  readonly span: Span;
  /** What to do about it. */
  readonly hint?: string;
  /** A replacement that mends it. */
  readonly fix?: Fix;
  /** Other places that have a part in it, e.g. where a name was first given. */
  readonly related?: readonly { readonly message: string; readonly span: Span }[];
}

/** What a diagnostic may add to code, message and place. */
export type Aid = Partial<Pick<Diagnostic, "hint" | "fix" | "related">>;

/** Another text that is being read, and the place that brings it. */
export interface Elsewhere {
  /** Its path, as it is brought. */
  readonly text: string;
  readonly at: Span;
}

/** Collects diagnostics up to a cap, in the order found; the same one at the same place is kept once. */
export class Report {
  /** The most diagnostics kept; one more then says how many were left out. */
  static readonly cap = 100;
  private readonly kept: Diagnostic[] = [];
  private readonly seen = new Set<string>();
  private dropped = 0;
  private readonly lost = new Set<string>();
  private met = 0;
  private elsewhere: Elsewhere | undefined = undefined;

  /** Whether more are only counted: then their places need not be found. */
  get full(): boolean {
    return this.kept.length >= Report.cap;
  }

  /**
   * Adds an error, and gives undefined, as does who asked for what could not be read. Aid that is costly to find may be a function; it is
   * called only if the error is kept.
   */
  error(code: string, message: string, span: Span, aid: Aid | (() => Aid) = {}): undefined {
    this.meet({ code, severity: "error", message, span }, aid);
  }

  /** Notes the words of a statement that made nothing: if one of them is unknown elsewhere, this is why. */
  lose(words: readonly string[]): void {
    for (const word of words) this.lost.add(word);
  }

  /** Whether a word, or what stands before one of its dots, stood in a statement that made nothing. */
  isLost(word: string): boolean {
    for (let end = word.length; end > 0; end = word.lastIndexOf(".", end - 1))
      if (this.lost.has(word.slice(0, end))) return true;
    return false;
  }

  /** Adds a warning. */
  warn(code: string, message: string, span: Span, aid: Aid = {}): void {
    this.meet({ code, severity: "warning", message, span }, aid);
  }

  /** Adds a diagnostic that was made elsewhere. */
  add(diagnostic: Diagnostic): void {
    this.meet(diagnostic, {});
  }

  /** The other text in which mistakes are being found, if any. */
  get other(): Elsewhere | undefined {
    return this.elsewhere;
  }

  /** Does work that reads another text (undefined: this one); its findings are reported at the place that brings that text. */
  within<T>(other: Elsewhere | undefined, work: () => T): T {
    const before = this.elsewhere;
    this.elsewhere = other;
    try {
      return work();
    } finally {
      this.elsewhere = before;
    }
  }

  private meet(found: Diagnostic, aids: Aid | (() => Aid)): void {
    const { elsewhere } = this;
    let [diagnostic, aid] = [found, aids];
    if (elsewhere) {
      const { line, column } = found.span;
      const message = `in "${elsewhere.text}", line ${line}, column ${column}: ${found.message}`;
      const { hint } = typeof aids === "function" ? aids() : aids;
      diagnostic = { code: found.code, severity: found.severity, message, span: elsewhere.at };
      aid = hint === undefined ? {} : { hint };
    }
    if (diagnostic.severity === "error") this.met++;
    const key = `${diagnostic.code} ${diagnostic.span.line}:${diagnostic.span.column} ${diagnostic.message}`;
    if (this.seen.has(key)) return;
    if (this.kept.length >= Report.cap) {
      this.dropped++;
      return;
    }
    this.seen.add(key);
    this.kept.push({ ...diagnostic, ...(typeof aid === "function" ? aid() : aid) });
  }

  /** How many were found so far. */
  get size(): number {
    return this.kept.length + this.dropped;
  }

  /** How many errors were met, repeats included: shows whether a stage met one that an earlier stage had reported already. */
  get errors(): number {
    return this.met;
  }

  /** True if there was an error. */
  get failed(): boolean {
    return this.dropped > 0 || this.kept.some((d) => d.severity === "error");
  }

  /** All diagnostics, in the order of the text. */
  get diagnostics(): Diagnostic[] {
    const sorted = [...this.kept].sort((a, b) => a.span.line - b.span.line || a.span.column - b.span.column);
    if (this.dropped > 0) {
      const last = sorted[sorted.length - 1];
      sorted.push({
        code: "too-many",
        severity: "error",
        message: `${this.dropped} more mistakes are not listed`,
        span: last.span,
        hint: "mend the ones above first",
      });
    }
    return sorted;
  }
}

/**
 * Thrown when a design cannot be compiled or a run cannot be started.
 *
 * @category Designs
 * @example
 * ```ts
 * try {
 *   compile("supply plus12 = 12 Vlt");
 * } catch (error) {
 *   if (!(error instanceof DesignError)) throw error;
 *   error.diagnostics[0].code; // "unknown-unit"
 * }
 * ```
 */
export class DesignError extends Error {
  // What consoles call it, where a bundle has shortened the name.
  static {
    Object.defineProperty(DesignError, "name", { value: "DesignError" });
  }
  /** The name of the class, as stack traces show it. */
  override readonly name = "DesignError";
  /** Everything that was found, in the order of the text; never empty. */
  readonly diagnostics: readonly Diagnostic[];

  constructor(diagnostics: readonly Diagnostic[]) {
    const first = diagnostics.find((d) => d.severity === "error") ?? diagnostics[0];
    const more = diagnostics.length > 1 ? ` (and ${diagnostics.length - 1} more)` : "";
    const hint = first.hint ? `; ${first.hint}` : "";
    super(`${placeWords(first.span)}${first.message}${hint}${more}`);
    this.diagnostics = diagnostics;
  }
}

/** An error with a single diagnostic about a whole text, or about a call. */
export function refusal(code: string, message: string, hint?: string): DesignError {
  return new DesignError([{ code, severity: "error", message, span: wholeText, hint }]);
}
