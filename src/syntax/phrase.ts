// Reads what a check measures where it stands by itself, `peak of ramp each gate`, by the rules of the language: the same
// words, clauses and messages, with places in the phrase.
import { Report } from "../base/diagnostic.js";
import { cover, type Span, wholeText } from "../base/span.js";
import { explainMeasured } from "./explain.js";
import { grammar } from "./grammar.js";
import { limits } from "./limits.js";
import { placeOf } from "./line.js";
import { cut, split } from "./lines.js";
import type { MeasureClause } from "./tree.js";

/** What a phrase says, and where in it that stands. */
export interface Phrase extends MeasureClause {
  readonly span: Span;
}

/** Reads a phrase; what is wrong with it is in the report, and there is no phrase then. */
export function readPhrase(text: string): { readonly phrase?: Phrase; readonly report: Report } {
  const report = new Report();
  const refuse = (message: string) =>
    report.error("bad-phrase", message, wholeText, { hint: "write it like: peak of ramp each gate" });
  const source = text.length > limits.line ? [] : split(text);
  if (text.length > limits.line) refuse(`a phrase may have ${limits.line} characters at most`);
  const lines = [...cut(source, report)];
  if (report.failed) return { report };
  const [line, ...more] = lines;
  if (!line || more.length > 0) {
    refuse(line ? "a phrase is one line" : "the phrase says nothing");
    return { report };
  }
  const { measured, troubles } = grammar().parseMeasured(line.tokens);
  if (!measured) {
    report.add(explainMeasured(troubles[0], line));
    return { report };
  }
  const span = cover(placeOf(line.tokens[0]), placeOf(line.tokens[line.tokens.length - 2]));
  return { phrase: { ...measured, span }, report };
}
