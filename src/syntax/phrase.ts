// Reads a measured phrase that stands by itself, such as `peak of ramp each gate`, by the rules of the language: the same
// words, clauses and messages, with spans in the phrase.
import { Report } from "../base/diagnostic.js";
import { cover, type Span, wholeText } from "../base/span.js";
import { explainMeasured } from "./explain.js";
import { grammar } from "./grammar.js";
import { placeOf } from "./line.js";
import { cut, split } from "./lines.js";
import type { MeasureClause } from "./tree.js";

/** What a phrase says, and its span without blanks around it. */
export interface Phrase extends MeasureClause {
  readonly span: Span;
}

/** Reads a phrase; if anything is wrong with it, the report says what, and there is no phrase. */
export function readPhrase(text: string): { readonly phrase?: Phrase; readonly report: Report } {
  const report = new Report();
  const lines = [...cut(split(text), report)];
  if (report.failed) return { report };
  const [line, second] = lines;
  const hint = "write it like: peak of ramp each gate";
  if (!line) report.error("unexpected-end", "the phrase says nothing", wholeText, { hint });
  if (second) report.error("unexpected-word", "a phrase is one line", placeOf(second.tokens[0]), { hint });
  if (report.failed) return { report };
  const { measured, troubles } = grammar().parseMeasured(line.tokens);
  if (!measured) {
    report.add(explainMeasured(troubles[0], line));
    return { report };
  }
  const span = cover(placeOf(line.tokens[0]), placeOf(line.tokens[line.tokens.length - 2]));
  return { phrase: { ...measured, span }, report };
}
