// Makes pieces of the tree from tokens: words, references, numbers with their units. Text is in Unicode normal form C, so that
// two spellings of one name are one name; spans are those of the text as written.
import type { IToken } from "chevrotain";
import { readLetterCode, unitWords } from "../base/quantity.js";
import { cover, type Span } from "../base/span.js";
import { placeOf } from "./line.js";
import type { Expression, Reference, Word } from "./tree.js";

const units: ReadonlySet<string> = new Set(unitWords);

/** A word in normal form; what is plain ASCII is so already, which is seen at a glance. */
function composed(image: string): string {
  for (let i = 0; i < image.length; i++) if (image.charCodeAt(i) > 0x7f) return image.normalize("NFC");
  return image;
}

/** True for a unit word, with or without a prefix. */
export function isUnit(image: string): boolean {
  return units.has(composed(image));
}

export function wordOf(token: IToken): Word {
  return { text: composed(token.image), span: placeOf(token) };
}

/** The words between the dots of a token: `2nd.ramp` is one token, since it begins with a digit. */
export function dottedWords(token: IToken): Word[] {
  if (!token.image.includes(".")) return [wordOf(token)];
  const { line, column } = placeOf(token);
  let at = column;
  return token.image.split(".").map((part) => {
    const span = { line, column: at, length: part.length };
    at += part.length + 1;
    return { text: composed(part), span };
  });
}

/** A reference from the words between its dots. */
export function referenceOf(path: readonly Word[]): Reference {
  return { path, span: cover(path[0].span, path[path.length - 1].span) };
}

/** True for a token that begins with a digit and can be a name: letters and digits alone, `0` or `2nd`. */
export function isWordy(image: string): boolean {
  return /^[\p{L}\p{N}\p{M}_]+$/u.test(image);
}

/** True for such names with dots between them. */
export function isDotted(image: string): boolean {
  return /^[\p{L}\p{N}\p{M}_.]+$/u.test(image) && !image.endsWith(".") && !image.includes("..");
}

/** Index of the first letter glued to a plain decimal number; undefined if there is none. */
export function lettersAt(image: string): number | undefined {
  // A number complete with its exponent has no letters: the `e` is not one.
  if (/^\d+(?:\.\d+)?(?:[eE][+-]?\d+)?$/.test(image)) return undefined;
  const match = /^\d+(?:\.\d+)?(?:[eE][+-]?\d+)?(?=[\p{L}_])/u.exec(image);
  return match ? match[0].length : undefined;
}

/** Digits and glued unit of a number token: `22nF` is `22` and `nF`; `4K7` and `15n` are digits alone. */
export function digitsOf(token: IToken): { digits: Word; unit?: Word } {
  const at = lettersAt(token.image);
  // `47K` is a letter code; `47 K` are kelvins.
  if (at === undefined || !isUnit(token.image.slice(at)) || readLetterCode(token.image))
    return { digits: wordOf(token) };
  const { line, column, length } = placeOf(token);
  return {
    digits: { text: token.image.slice(0, at), span: { line, column, length: at } },
    unit: {
      text: composed(token.image.slice(at)),
      span: { line, column: column + at, length: length - at },
    },
  };
}

export function numberWithUnit(digits: Word, unit: Word | undefined, per: Word | undefined): Expression {
  const span = cover(digits.span, (per ?? unit ?? digits).span);
  return { type: "number", digits, unit, per, span };
}

/** Two sides and the sign between them. */
export function binary(left: Expression, sign: IToken, right: Expression): Expression {
  const operator = sign.image as "+" | "-" | "*" | "/";
  return { type: "binary", operator, left, right, span: cover(left.span, right.span) };
}

/** From the first thing to the last, on the first one's line. */
export function stretch(first: { span: Span }, last: { span: Span } | undefined): Span {
  return last ? cover(first.span, last.span) : first.span;
}
