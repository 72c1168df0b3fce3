// Cuts a text into statements of tokens, joining physical lines where one continues on the next, and reports what no statement
// could contain. Every token carries its line and column; every statement begins with a word, ends in Newline and has brackets
// no deeper than the limit. A stray character does not stop the reading.
import type { IToken, TokenType } from "chevrotain";
import type { Report } from "../base/diagnostic.js";
import { shortened } from "../base/quantity.js";
import { refuseCharacters, refuseOpenText, refusePoint, refuseStray } from "./characters.js";
import { inItsOwn, limits } from "./limits.js";
import { type Line, newline, placeOf } from "./line.js";
import { withinDepth } from "./nesting.js";
import * as t from "./tokens.js";
import type { Comment } from "./tree.js";

/** The physical lines of a text, without their ends; a byte-order mark is no part of the first. */
export function split(text: string): string[] {
  return (text.charCodeAt(0) === 0xfeff ? text.slice(1) : text).split(/\r\n|\n|\r/);
}

/** Ends of lines that plainly end a statement. */
const plainEnd = /[\w)%]\s*$/;

/**
 * The index of the line with which a text has plainly too many statements; undefined where only reading tells. Lines are looked at,
 * not read, so that a text of ten megabytes is refused before time and memory are taken.
 */
export function plainlyBeyond(source: readonly string[]): number | undefined {
  if (source.length <= limits.statements) return undefined;
  let count = 0;
  const at = source.findIndex((line) => {
    if (/^\s*[a-z]/.test(line) && line.length <= limits.line && !line.includes("#") && plainEnd.test(line))
      count++;
    return count > limits.statements;
  });
  return at < 0 ? undefined : at;
}

/**
 * Cuts a text into statement lines, one at a time, so that the tokens of a long text need not all be in memory.
 * @param source its physical lines
 * @param comments receives the comments
 */
export function* cut(source: readonly string[], report: Report, comments: Comment[] = []): Generator<Line> {
  let open: Line | undefined;
  let tokenCount = 0;
  let lineCount = 0;
  for (let i = 0; i < source.length; i++) {
    const text = source[i];
    const number = i + 1;
    if (/^[\t ]*$/.test(text)) {
      // A blank line ends a statement even if its last line asked for more.
      if (open && close(open, report)) yield open;
      open = undefined;
      continue;
    }
    if (tooLong(text, number, report)) continue;
    let bad = refuseCharacters(text, number, report);
    const tokens = t.tokenize(text);
    tokenCount += tokens.length;
    if (tokenCount > limits.tokens || lineCount >= limits.statements) {
      refuseRest(number, tokenCount > limits.tokens, report);
      break;
    }
    const kept: IToken[] = [];
    const strays: string[] = [];
    for (const token of tokens) {
      token.startLine = number;
      token.startColumn = token.startOffset + 1;
      const type = token.tokenType;
      if (type === t.CommentToken) {
        comments.push({ text: token.image.trimEnd(), span: placeOf(token), alone: tokens.length === 1 });
      } else if (type === t.Stray) {
        const last = token === tokens.at(-1) && /\S/.test(tokens[0].image);
        const number = refuseStray(token, { before: kept.at(-1), strays, last, text }, report);
        bad = true;
        // It stays where it stands, as meant: what follows from its absence would be a second mistake.
        if (number !== undefined) {
          token.image = number;
          t.retype(token, t.Numeral);
          kept.push(token);
        }
      } else {
        if (pointAlone(kept, token)) {
          refusePoint(token, report, kept.pop());
          bad = true;
        }
        if (type === t.OpenText) {
          refuseOpenText(token, text, report);
          t.retype(token, t.Text);
          bad = true;
        }
        kept.push(token);
      }
    }
    if (kept.length === 0) {
      if (open) {
        open.last = number;
        open.bad ||= bad;
      }
      continue;
    }
    if (open && begins(kept, open.tokens)) {
      if (close(open, report)) yield open;
      open = undefined;
    }
    if (!open) {
      open = { tokens: kept, first: number, last: number, bad };
      lineCount++;
    } else {
      for (const token of kept) open.tokens.push(token);
      open.last = number;
      open.bad ||= bad;
    }
    if (goesOn(kept[kept.length - 1].tokenType)) continue;
    if (close(open, report)) yield open;
    open = undefined;
  }
  if (open && close(open, report)) yield open;
}

function tooLong(text: string, line: number, report: Report): boolean {
  if (text.length <= limits.line) return false;
  const span = { line, column: limits.line + 1, length: 1 };
  const message = `a line may have ${limits.line} characters at most`;
  report.error("line-too-long", message, span, { hint: "break it behind a comma" });
  return true;
}

/** Refuses what is left of a text that is too long. */
export function refuseRest(line: number, words: boolean, report: Report): void {
  const [code, what] = words
    ? ["text-too-long", `${limits.tokens} words and signs`]
    : ["too-many-statements", `${limits.statements} statements`];
  const span = { line, column: 1, length: 1 };
  report.error(code, `a design may have ${what} at most`, span, { hint: inItsOwn });
}

// A line that ends in one of these continues on the next.
const joining = new Set<TokenType>([
  t.Comma,
  t.Arrow,
  t.Plus,
  t.Minus,
  t.Times,
  t.Slash,
  t.PlusMinus,
  t.Equals,
]);
const goesOn = (type: TokenType): boolean => joining.has(type);

// A line that plainly begins a statement never continues the one before, whatever that ended in: a comma left at
// the end of a line is the commonest slip. Only parts have an arrow, and only one; a line with nothing but `end`
// always ends a block.
function begins(tokens: readonly IToken[], before: readonly IToken[]): boolean {
  const [first, second, third] = tokens.map((token) => token.tokenType);
  if (tokens.some((token, i) => i > 0 && token.tokenType === t.Arrow)) return true;
  if (first === t.keyword.end && tokens.length === 1) return true;
  // After an arrow comes a place, and after that almost anything.
  if (before[before.length - 1].tokenType === t.Arrow) return false;
  // A change of a case (what, what happens, how much) may begin with the same three words as one of these
  // statements. So may a property with a condition or with times.
  const free =
    before[0].tokenType !== t.keyword.case &&
    ![t.keyword.while, t.keyword.from, t.keyword.after, t.keyword.before].some((word) => word === second);
  const named = second === t.Numeral || (second !== undefined && t.isName(second));
  switch (first) {
    case t.keyword.title:
    case t.keyword.bring:
    case t.keyword.case:
    case t.keyword.check:
    case t.keyword.reading:
    case t.keyword.show:
    case t.keyword.testpoint:
      return second === t.Text;
    case t.keyword.given:
    case t.keyword.supply:
    case t.keyword.signal:
      return named && third === t.Equals;
    case t.keyword.find:
      return named && free && behindReference(tokens) === t.keyword.from;
    case t.keyword.use:
      return named && free && third === t.keyword.as;
    case t.keyword.block:
      return named && free && third === t.keyword.joins;
    case t.keyword.run:
      return free && second === t.keyword.for && third === t.Numeral;
    default:
      return false;
  }
}

/** True if a line would be taken for a new statement although the one before continues. */
export function beginsStatement(line: string, before: string): boolean {
  const first = /^[a-z]+/.exec(line)?.[0];
  return first !== undefined && statementWords.has(first) && begins(t.tokenize(line), t.tokenize(before));
}

const statementWords: ReadonlySet<string> = new Set(t.statementWords);

// The token type after the reference that begins with the second word: `find line.timing from`.
function behindReference(tokens: readonly IToken[]): TokenType | undefined {
  let at = 2;
  while (tokens[at]?.tokenType === t.Dot) at += 2;
  return tokens[at]?.tokenType;
}

/** True for a point with a blank before it and digits after it: `.5` does not reach into a block. */
function pointAlone(before: readonly IToken[], token: IToken): boolean {
  if (token.tokenType !== t.Numeral || before.length < 2) return false;
  const [word, point] = before.slice(-2);
  if (point.tokenType !== t.Dot) return false;
  if (point.startOffset + 1 !== token.startOffset) return false;
  return word.startOffset + word.image.length < point.startOffset && /^\d+(e[+-]?\d+)?$/i.test(token.image);
}

/** Ends a statement line and checks it by itself; false if the parser should not see it. */
function close(line: Line, report: Report): boolean {
  const last = line.tokens[line.tokens.length - 1];
  line.tokens.push(newline(last.startLine!, last.startColumn! + last.image.length));
  const first = line.tokens[0];
  if (!withinDepth(line, report)) return false;
  if (t.isName(first.tokenType)) return true;
  if (!line.bad) {
    const message = `a statement begins with a word, not with '${shortened(first.image)}'`;
    report.error("unknown-statement", message, placeOf(first), {
      hint: [t.Slash, t.Minus, t.Times].includes(first.tokenType)
        ? "a comment begins with '#'"
        : "begin with a kind of part, or a word like given, supply, signal, check",
    });
  }
  return false;
}
