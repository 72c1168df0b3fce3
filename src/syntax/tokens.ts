// The words and signs of the design language as token types, and the lexer for one line. Every word of the language is also a
// name, so that a place, part or block may be called `at` or `case`. A run of letters and digits is one token, so that
// `0x10`, `1_000` and `4K7` reach the reader of numbers whole.
import { createToken, type IToken, type ITokenConfig, Lexer, type TokenType } from "chevrotain";

/** Words that begin (or end) a statement. */
export const statementWords = [
  "title",
  "bring",
  "given",
  "supply",
  "signal",
  "block",
  "end",
  "use",
  "run",
  "case",
  "check",
  "capture",
  "find",
  "reading",
  "show",
  "testpoint",
] as const;

/** Words inside statements. */
export const clauseWords = [
  "joins",
  "as",
  "with",
  "for",
  "while",
  "from",
  "to",
  "after",
  "before",
  "at",
  "above",
  "below",
  "between",
  "and",
  "is",
  "of",
  "each",
  "every",
  "in",
  "rising",
  "falling",
  "through",
] as const;

/** Words that name the shape of a signal. */
export const shapeWords = ["pulse", "sine", "path", "sync", "video", "noise"] as const;

type Keyword = (typeof statementWords)[number] | (typeof clauseWords)[number] | (typeof shapeWords)[number];

/** Every word of the language, in the order of the reference. */
export const keywords: readonly Keyword[] = [...statementWords, ...clauseWords, ...shapeWords];

// The lexer library takes no expression with the `u` flag, so patterns for letters of any script are functions.
// Each is one sticky expression of single-character classes: linear, without backtracking.
function pattern(expression: RegExp) {
  // The library takes the first entry at once, so one list serves them all.
  const found: [string] = [""];
  return (text: string, offset: number): [string] | null => {
    expression.lastIndex = offset;
    if (!expression.test(text)) return null;
    found[0] = text.slice(offset, expression.lastIndex);
    return found;
  };
}

// The library finds candidates by the first character's bucket: one for each code below 256, then one for each
// 255 codes. A representative of every bucket in a class of characters that reaches beyond Latin covers them all.
const beyondLatin = Array.from({ length: 258 }, (_, i) => Math.min(0xffff, 256 + 255 * i));
const hint = (below256: RegExp): number[] => [
  ...Array.from({ length: 256 }, (_, code) => code).filter((code) =>
    below256.test(String.fromCharCode(code)),
  ),
  ...beyondLatin,
];

/** Token types by falling precedence, which is the order in which they are made below. */
export const tokenTypes: TokenType[] = [];

function token(of: ITokenConfig): TokenType {
  const type = createToken(of);
  tokenTypes.push(type);
  return type;
}

/** A name: a letter of any script or `_`, then letters, digits, marks and `_`. */
export const Name = token({
  name: "Name",
  label: "a name",
  pattern: pattern(/[\p{L}_][\p{L}\p{N}\p{M}_]*/uy),
  start_chars_hint: hint(/[\p{L}_]/u),
  line_breaks: false,
});

/** A token for each word of the language; each is a kind of name. */
export const keyword = Object.fromEntries(
  keywords.map((word) => [
    word,
    token({ name: `word-${word}`, label: `'${word}'`, pattern: Lexer.NA, categories: Name }),
  ]),
) as Record<Keyword, TokenType>;

const words: ReadonlyMap<string, TokenType> = new Map(Object.entries(keyword));

/** True for a plain name and for each word of the language. */
export function isName(type: TokenType): boolean {
  return type === Name || (type.CATEGORIES?.includes(Name) ?? false);
}

/** Anything that begins with a digit, up to the next sign or blank; an exponent keeps its sign. */
export const Numeral = token({
  name: "Number",
  label: "a number",
  pattern: pattern(/\d[\d.]*[eE][+-]\d[\p{L}\p{N}\p{M}_.]*|\d[\p{L}\p{N}\p{M}_.]*/uy),
  start_chars_hint: hint(/\d/).slice(0, 10),
  line_breaks: false,
});

export const Text = token({
  name: "Text",
  label: "a text in quotes",
  pattern: /"[^"]*"/,
  start_chars_hint: ['"'],
  line_breaks: false,
});
export const OpenText = token({
  name: "OpenText",
  pattern: /"[^"]*/,
  start_chars_hint: ['"'],
  line_breaks: false,
});
export const CommentToken = token({
  name: "Comment",
  pattern: /#[^\n]*/,
  start_chars_hint: ["#"],
  line_breaks: false,
});
token({
  name: "Blank",
  pattern: pattern(/[\t\p{Zs}]+/uy),
  start_chars_hint: hint(/[\t\p{Zs}]/u),
  line_breaks: false,
  group: Lexer.SKIPPED,
});

function sign(
  name: string,
  label: string,
  pattern: RegExp | string,
  begins = [pattern.toString()],
): TokenType {
  return token({ name, label, pattern, start_chars_hint: begins, line_breaks: false });
}
export const Arrow = sign("Arrow", "'->'", /->|→/, ["-", "→"]);
export const PlusMinus = sign("PlusMinus", "'+-'", /\+\/?-|±/, ["+", "±"]);
export const Plus = sign("Plus", "'+'", "+");
export const Minus = sign("Minus", "'-'", "-");
export const Times = sign("Times", "'*'", "*");
export const Slash = sign("Slash", "'/'", "/");
export const Open = sign("Open", "'('", "(");
export const Close = sign("Close", "')'", ")");
export const Comma = sign("Comma", "','", ",");
export const Dot = sign("Dot", "'.'", ".");
export const Equals = sign("Equals", "'='", "=");
export const Percent = sign("Percent", "'%'", "%");

/** The minus and the stroke of `-20 % / +80 %`; the lexer never gives them, `nesting` marks them. */
export const Less = token({ name: "Less", label: "'-'", pattern: Lexer.NA });
export const More = token({ name: "More", label: "'/ +'", pattern: Lexer.NA });
/** The end of a statement; made by `lines`, since a statement may span several lines. */
export const Newline = token({ name: "Newline", label: "the end of the line", pattern: Lexer.NA });

/** Anything else: one character, or a number in the digits of another script, so that the lexer never stops. */
export const Stray = token({
  name: "Stray",
  pattern: pattern(/\p{N}[\p{L}\p{N}\p{M}_.]*|[^\n]/uy),
  start_chars_hint: hint(/[^\n]/),
  line_breaks: false,
});

let made: Lexer | undefined;

/** The tokens of one line; never fails, since `Stray` takes the rest. Offsets only: the caller knows the line. */
export function tokenize(line: string): IToken[] {
  made ??= new Lexer(tokenTypes, {
    positionTracking: "onlyOffset",
    ensureOptimizations: true,
    skipValidations: true,
  });
  const { tokens } = made.tokenize(line);
  // Words of the language are looked up, not lexed: that saves fifty patterns at the start and at each word.
  for (const token of tokens) {
    const type = token.tokenType === Name ? words.get(token.image) : undefined;
    if (type) retype(token, type);
  }
  return tokens;
}

/** Makes a token one of another type. */
export function retype(token: IToken, type: TokenType): void {
  token.tokenType = type;
  token.tokenTypeIdx = type.tokenTypeIdx!;
}
