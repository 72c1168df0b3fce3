// Puts the parser's troubles into words: what was expected, what was found, and mends that may serve, the likeliest first. A mend
// is only a guess here; `read` keeps it if the statement parses with it.
import type { IToken } from "chevrotain";
import type { Diagnostic, Fix } from "../base/diagnostic.js";
import { nearest } from "../base/nearest.js";
import { otherWords } from "../base/otherwords.js";
import { enumerated, shortened } from "../base/quantity.js";
import type { Span } from "../base/span.js";
import type { Trouble } from "./findings.js";
import { habitOf } from "./habits.js";
import { type Line, placeOf } from "./line.js";
import { modelOf } from "./models.js";
import * as t from "./tokens.js";

/** A diagnostic without its mend, and the mends to try. */
export interface Explanation {
  readonly diagnostic: Diagnostic;
  readonly fixes: readonly Guess[];
}

/** A mend to try, and the hint that replaces the usual one if it serves. */
interface Guess extends Fix {
  readonly hint?: string;
}

/** Explains a trouble in a statement. @param kinds the kinds of part, if they are known */
export function explain(trouble: Trouble, line: Line, kinds: readonly string[] | undefined): Explanation {
  if (trouble.diagnostic) {
    const { fix, ...diagnostic } = trouble.diagnostic;
    return { diagnostic, fixes: fix ? [fix] : [] };
  }
  const point = pointFirst(trouble, line);
  if (point) return point;
  const habit = habitOf(trouble.token, line, trouble.expected);
  if (habit) {
    const { diagnostic } = unexpected(trouble, line);
    const { fix, ...said } = habit;
    return { diagnostic: { ...diagnostic, ...said }, fixes: fix ? [fix] : [] };
  }
  const first = line.tokens[0];
  if (first.tokenType === t.Name && !kinds?.includes(first.image.normalize("NFC"))) {
    const unknown = unknownFirst(first, line, kinds);
    if (unknown) return unknown;
  }
  return unexpected(trouble, line);
}

/** Refuses a first word that is neither a statement nor a kind of part. */
export function unknownKind(word: string, span: Span, kinds: readonly string[] | undefined): Explanation {
  const meant = nearest(word, [...t.statementWords, ...(kinds ?? [])]);
  const other = meant !== undefined && otherWords(word).includes(meant);
  const hint = meant
    ? `did you mean '${meant}'?${other && kinds ? ` kinds of part are ${enumerated(kinds, "or")}` : ""}`
    : kinds
      ? `kinds of part are ${enumerated(kinds, "or")}`
      : `statements begin with ${enumerated(t.statementWords, "or")}, or a kind of part`;
  const message = `'${shortened(word)}' begins no statement and is no kind of part`;
  return {
    diagnostic: { code: "unknown-statement", severity: "error", message, span, hint },
    fixes: meant ? [{ span, text: meant }] : [],
  };
}

// The grammar takes any other word for a kind of part. So the first word is refused if it is nearly a statement
// word, if the kinds are known and it is none of them, or if nothing else on the line looks like a part.
function unknownFirst(
  first: IToken,
  line: Line,
  kinds: readonly string[] | undefined,
): Explanation | undefined {
  const word = first.image.normalize("NFC");
  const places = line.tokens.some((token) => token.tokenType === t.Arrow);
  const sentence =
    line.tokens.length > 3 && line.tokens.slice(0, 3).every((token) => t.isName(token.tokenType));
  if (kinds || !(places || sentence) || nearest(word, t.statementWords))
    return unknownKind(word, placeOf(first), kinds);
  return undefined;
}

/** Explains a trouble in a measured phrase that stands by itself. */
export function explainMeasured(trouble: Trouble, line: Line): Diagnostic {
  return trouble.diagnostic ?? unexpected(trouble, line, "peak of ramp each gate").diagnostic;
}

function unexpected(trouble: Trouble, line: Line, likely?: string): Explanation {
  const { token } = trouble;
  const { phrase, literals } = trouble.expected!;
  const ended = token.tokenType === t.Newline;
  const found = ended ? "the line ends" : `there is '${shortened(token.image)}'`;
  const only = phrase.startsWith("only");
  const message = only ? `a check has ${phrase}` : `expected ${phrase}, but ${found}`;
  const model = likely ?? modelOf(line.tokens);
  const at = placeOf(token);
  const meant = t.isName(token.tokenType) ? nearest(token.image, literals) : undefined;
  return {
    diagnostic: {
      code: ended ? "unexpected-end" : "unexpected-word",
      severity: "error",
      message,
      span: at,
      hint: meant ? `did you mean '${meant}'?` : `write it like: ${model}`,
    },
    fixes: mends(token, line, literals, meant),
  };
}

// `.5`: a mend that dropped the point would parse and be ten times too large.
function pointFirst({ token, expected }: Trouble, line: Line): Explanation | undefined {
  if (token.tokenType !== t.Dot) return undefined;
  const next = line.tokens[line.tokens.indexOf(token) + 1];
  const digits = next?.tokenType === t.Numeral ? next.image : "";
  if (digits === "" && expected?.phrase !== "a value") return undefined;
  const span = { ...placeOf(token), length: 1 + digits.length };
  const message = `'.${shortened(digits)}' is not a number`;
  const hint = "a number begins with a digit";
  return {
    diagnostic: { code: "number-malformed", severity: "error", message, span, hint },
    fixes: digits === "" ? [] : [{ span: { ...span, length: 0 }, text: "0" }],
  };
}

function mends(token: IToken, line: Line, literals: readonly string[], meant: string | undefined): Guess[] {
  const fixes: Guess[] = [];
  const at = placeOf(token);
  if (meant) fixes.push({ span: at, text: meant });
  // A word that could begin another clause here, though the rule that failed did not ask for it.
  const clause = token.tokenType === t.Name ? nearest(token.image, t.clauseWords) : undefined;
  if (clause) fixes.push({ span: at, text: clause, hint: `did you mean '${clause}'?` });
  const ended = token.tokenType === t.Newline;
  const previous = line.tokens[line.tokens.indexOf(token) - 1];
  if (ended && previous?.tokenType === t.Comma) fixes.push({ span: placeOf(previous), text: "" });
  const before = { ...at, length: 0 };
  for (const literal of literals.slice(0, 8)) {
    // A comma follows the word before it directly; everything else stands between blanks.
    fixes.push({ span: before, text: ended ? ` ${literal}` : `${literal} ` });
  }
  // Deleting a sign loses nothing; a word is never deleted on a guess.
  if (!ended && !t.isName(token.tokenType) && token.tokenType !== t.Numeral && token.tokenType !== t.Text) {
    for (const literal of literals.slice(0, 8)) fixes.push({ span: at, text: literal });
    fixes.push({ span: at, text: "" });
  }
  return fixes;
}
