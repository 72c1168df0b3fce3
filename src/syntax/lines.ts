// Cuts a text into statement lines of tokens. Takes the text; gives the tokens of each statement (physical lines
// joined where one goes on with the next), the comments, and diagnostics for what no statement could contain.
// What always holds: every token carries its line and column; every statement begins with a word and ends in
// Newline; brackets and blocks are nested no deeper than the limit and every block is closed, so that the
// parser, which is recursive, cannot run out of stack and never sees an `end` too few or too many.
import { createTokenInstance, type IToken, type TokenType } from "chevrotain";
import type { Report } from "../base/diagnostic.js";
import { readNumber } from "../base/quantity.js";
import type { Span } from "../base/span.js";
import * as t from "./tokens.js";
import type { Comment } from "./tree.js";

/** What is read at most; beyond it a diagnostic says so. */
export const limits = {
  /** UTF-16 code units of a text. */
  text: 16 * 1024 * 1024,
  /** UTF-16 code units of a physical line. */
  line: 1024 * 1024,
  /** Tokens of a text. */
  tokens: 2_000_000,
  /** Statements of a text. */
  statements: 200_000,
  /** Brackets in brackets, and blocks in blocks. */
  depth: 64,
  /** Signs of arithmetic in one expression: its tree leans to one side and is as deep as it has signs. */
  signs: 500,
} as const;

/** The tokens of one statement line, and the physical lines it stands on. */
export interface Line {
  tokens: IToken[];
  readonly first: number;
  last: number;
  /** True where a diagnostic about it was made already. */
  bad: boolean;
}

/** The place of a token. */
export function placeOf(token: IToken): Span {
  return { line: token.startLine!, column: token.startColumn!, length: token.image.length };
}

/** The physical lines of a text, without their ends; a byte-order mark is no part of the first. */
export function split(text: string): string[] {
  return (text.charCodeAt(0) === 0xfeff ? text.slice(1) : text).split(/\r\n|\n|\r/);
}

/**
 * Cuts a text into statement lines.
 * @param source its physical lines
 * @param offset number of lines before the first
 */
export function cut(
  source: readonly string[],
  report: Report,
  offset = 0,
): { lines: Line[]; comments: Comment[] } {
  const comments: Comment[] = [];
  const lines: Line[] = [];
  let open: Line | undefined;
  let count = 0;
  for (let i = 0; i < source.length; i++) {
    const text = source[i]!;
    const number = i + 1 + offset;
    if (/^[\t ]*$/.test(text)) {
      // A blank line ends a statement even where its last line asked for more.
      if (open) close(open);
      open = undefined;
      continue;
    }
    if (text.length > limits.line) {
      const span = { line: number, column: limits.line + 1, length: 1 };
      report.error("line-too-long", `a line may have ${limits.line} characters at most`, span);
      continue;
    }
    let bad = refuseCharacters(text, number, report);
    const { tokens } = t.lineLexer.tokenize(text);
    count += tokens.length;
    if (count > limits.tokens || lines.length > limits.statements) {
      const [code, what] =
        count > limits.tokens
          ? ["text-too-long", `${limits.tokens} words and signs`]
          : ["too-many-statements", `${limits.statements} statements`];
      report.error(code, `a design may have ${what} at most`, { line: number, column: 1, length: 1 });
      break;
    }
    const kept: IToken[] = [];
    for (const token of tokens) {
      token.startLine = number;
      token.startColumn = token.startOffset + 1;
      const type = token.tokenType;
      if (type === t.Comment) {
        comments.push({ text: token.image.trimEnd(), span: placeOf(token), alone: tokens.length === 1 });
      } else if (type === t.Stray) {
        refuseStray(token, report);
        bad = true;
      } else {
        if (type === t.OpenText) {
          refuseOpenText(token, text, report);
          bad = true;
        }
        kept.push(token);
      }
    }
    if (kept.length === 0) {
      if (open) open.bad ||= bad;
      continue;
    }
    if (!open) {
      open = { tokens: kept, first: number, last: number, bad };
      lines.push(open);
    } else {
      for (const token of kept) open.tokens.push(token);
      open.last = number;
      open.bad ||= bad;
    }
    if (goesOn(kept[kept.length - 1]!.tokenType)) continue;
    close(open);
    open = undefined;
  }
  if (open) close(open);
  return { lines: lines.filter((line) => sound(line, report)), comments };
}

// A line that ends in one of these goes on with the next.
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

function close(line: Line): void {
  const last = line.tokens[line.tokens.length - 1]!;
  line.tokens.push(newline(last.startLine!, last.startColumn! + last.image.length));
}

function newline(line: number, column: number): IToken {
  return createTokenInstance(t.Newline, "\n", 0, 0, line, line, column, column);
}

// Control characters and halves of surrogate pairs: nowhere, not even in a comment, since they would reach
// reports and terminals.
const refused = /(?!\t)\p{Cc}|\p{Cs}/u;

function refuseCharacters(text: string, line: number, report: Report): boolean {
  if (!refused.test(text)) return false;
  let column = 1;
  for (const character of text) {
    if (refused.test(character)) {
      const code = character.codePointAt(0)!.toString(16).toUpperCase().padStart(4, "0");
      const what = /\p{Cs}/u.test(character) ? "half of a surrogate pair" : "a control character";
      const span = { line, column, length: 1 };
      report.error("stray-character", `U+${code} is ${what} and means nothing here`, span, {
        hint: "delete it",
        fix: { span, text: "" },
      });
    }
    column += character.length;
  }
  return true;
}

// What text editors and web pages put in place of a plain sign.
const plain: Readonly<Record<string, string>> = {
  "−": "-",
  "–": "-",
  "—": "-",
  "×": "*",
  "·": "*",
  "÷": "/",
  "“": '"',
  "”": '"',
  "„": '"',
  "＝": "=",
  "，": ",",
  "（": "(",
  "）": ")",
  ";": ",",
};

function refuseStray(token: IToken, report: Report): void {
  const span = placeOf(token);
  if (refused.test(token.image)) return;
  if (/^\p{N}/u.test(token.image)) {
    const reading = readNumber(token.image);
    if (!reading.ok) {
      const digits = [...token.image].map((c) => (/\p{Nd}/u.test(c) ? String(digitOf(c)) : c)).join("");
      report.error(reading.code, reading.message, span, { hint: reading.hint, fix: { span, text: digits } });
    }
    return;
  }
  const instead = Object.hasOwn(plain, token.image) ? plain[token.image] : undefined;
  report.error("stray-character", `'${token.image}' means nothing here`, span, {
    hint: instead === undefined ? "delete it" : `write '${instead}'`,
    fix: { span, text: instead ?? "" },
  });
}

// Decimal digits stand in runs of ten, zero first (Unicode Standard, section 4.6: the digits of a script are
// encoded in one contiguous range in ascending order); the longest chain of runs is that of the mathematical
// digits, five of them.
function digitOf(character: string): number {
  let code = character.codePointAt(0)!;
  let digit = 0;
  while (digit < 60 && /\p{Nd}/u.test(String.fromCodePoint(code - 1))) {
    code--;
    digit++;
  }
  return digit % 10;
}

function refuseOpenText(token: IToken, line: string, report: Report): void {
  const span = { ...placeOf(token), length: token.image.trimEnd().length };
  const end = { line: span.line, column: line.trimEnd().length + 1, length: 0 };
  report.error("unclosed-text", `the text that opens on line ${span.line} has no closing quote`, span, {
    hint: 'close it with " on the same line',
    fix: { span: end, text: '"' },
  });
}

/** Checks one statement line on its own; false where the parser had better not see it. */
function sound(line: Line, report: Report): boolean {
  const first = line.tokens[0]!;
  if (!nested(line, report)) return false;
  if (first.tokenType === t.Name || first.tokenType.CATEGORIES?.includes(t.Name)) return true;
  if (!line.bad) {
    const found = first.image.length > 24 ? `${first.image.slice(0, 24)}…` : first.image;
    report.error("unknown-statement", `a statement begins with a word, not with '${found}'`, placeOf(first), {
      hint: "begin with a kind of part, or a word like given, supply, signal, check",
    });
  }
  return false;
}

// One pass over the tokens: depth of brackets, number of signs, and the marks of `-20 % / +80 %`. A stroke
// directly followed by a plus has no other meaning, since there is no plus in front of a number.
function nested(line: Line, report: Report): boolean {
  const minus: (IToken | undefined)[] = [undefined];
  let depth = 0;
  let signs = 0;
  const tokens = line.tokens;
  const marked: IToken[] = [];
  for (let i = 0; i < tokens.length; i++) {
    const token = tokens[i]!;
    marked.push(token);
    const type = token.tokenType;
    if (type === t.Open) {
      minus[++depth] = undefined;
      if (depth > limits.depth) {
        const message = `brackets stand ${limits.depth} deep at most`;
        report.error("too-deep", message, placeOf(token), { hint: "name a part of it with given" });
        return false;
      }
    } else if (type === t.Close) {
      depth = Math.max(0, depth - 1);
    } else if (type === t.Comma) {
      signs = 0;
      minus[depth] = undefined;
    } else if (type === t.Slash && tokens[i + 1]!.tokenType === t.Plus && minus[depth]) {
      retype(minus[depth]!, t.Less);
      retype(token, t.More);
      minus[depth] = undefined;
      i++; // the plus is part of the mark
    } else if (type === t.Plus || type === t.Minus || type === t.Times || type === t.Slash) {
      if (type === t.Minus) minus[depth] = token;
      if (++signs > limits.signs) {
        const message = `one expression has ${limits.signs} signs of arithmetic at most`;
        report.error("too-deep", message, placeOf(token), { hint: "name a part of it with given" });
        return false;
      }
    }
  }
  line.tokens = marked;
  return true;
}

function retype(token: IToken, type: TokenType): void {
  token.tokenType = type;
  token.tokenTypeIdx = type.tokenTypeIdx!;
}

/**
 * The tokens of all statements, with blocks balanced: an `end` without a block is reported and left out, a block
 * without an `end` is reported at its opener and closed, one too deep is reported and left out whole.
 */
export function balance(lines: readonly Line[], report: Report): IToken[] {
  const tokens: IToken[] = [];
  const openers: IToken[] = [];
  let skipping = 0;
  for (const line of lines) {
    const first = line.tokens[0]!;
    const opens = first.tokenType === t.Word.block;
    const closes = first.tokenType === t.Word.end;
    if (skipping > 0) {
      skipping += opens ? 1 : closes ? -1 : 0;
      continue;
    }
    if (opens) {
      if (openers.length >= limits.depth) {
        report.error("too-deep", `blocks stand ${limits.depth} deep at most`, placeOf(first));
        skipping = 1;
        continue;
      }
      openers.push(first);
    }
    if (closes && openers.pop() === undefined) {
      report.error("stray-end", "'end' closes no block", placeOf(first), {
        hint: "delete it, or begin the block with: block NAME joins PLACE, PLACE",
        fix: line.tokens.length === 2 ? { span: placeOf(first), text: "" } : undefined,
      });
      continue;
    }
    for (const token of line.tokens) tokens.push(token);
  }
  const end = lines.length > 0 ? lines[lines.length - 1]!.tokens.at(-1)! : newline(1, 1);
  const [line, column] = [end.startLine!, end.startColumn!];
  for (const opener of openers.toReversed()) {
    const span = placeOf(opener);
    report.error("unclosed-block", `the block that opens on line ${span.line} has no 'end'`, span, {
      hint: "write 'end' on a line of its own after its last statement",
      related: [{ message: "the text ends here", span: { line, column, length: 0 } }],
      fix: openers.length === 1 ? { span: { line, column, length: 0 }, text: "\nend" } : undefined,
    });
    tokens.push(
      createTokenInstance(t.Word.end, "end", 0, 0, line, line, column, column),
      newline(line, column),
    );
  }
  return tokens;
}
