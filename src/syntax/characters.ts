// Refuses characters that mean nothing in a design: control characters, halves of surrogate pairs, digits of other scripts, signs
// that only look like ours, quotes that are not closed. Each gets a diagnostic of its own at its exact column, with a mend.
import type { IToken } from "chevrotain";
import type { Report } from "../base/diagnostic.js";
import { readNumber } from "../base/quantity.js";
import { placeOf } from "./line.js";

// Control characters and halves of surrogate pairs are refused everywhere, even in comments, since they would
// reach reports and terminals.
const refused = /(?!\t)\p{Cc}|\p{Cs}/u;

const quotes: ReadonlySet<string> = new Set(["“", "”", "„", "'", "‘", "’"]);
const dashes: ReadonlySet<string> = new Set(["–", "—", "−"]);
/** Signs that begin a comment in other languages. */
const comments: ReadonlySet<string> = new Set([";", "'", "!"]);

/** Refuses control characters and halves of surrogate pairs; true where there are some. */
export function refuseCharacters(text: string, line: number, report: Report): boolean {
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
  "'": '"',
  "‘": '"',
  "’": '"',
  "＝": "=",
  "，": ",",
  "（": "(",
  "）": ")",
  ";": ",",
  "<": "below",
  ">": "above",
  "≤": "below",
  "≥": "above",
};

/** The surroundings of a stray character. */
export interface Around {
  readonly before: IToken | undefined;
  /** Strays before it on its line; this one is appended. */
  readonly strays: string[];
  /** Whether it is the last on its line. */
  readonly last: boolean;
  /** Its line. */
  readonly text: string;
}

/**
 * Refuses a character that begins no word or sign. At the end of a line no operator is offered for it.
 * @returns of a number in the digits of another script the same in ours
 */
export function refuseStray(token: IToken, around: Around, report: Report): string | undefined {
  if (/^\p{N}/u.test(token.image)) return refuseDigits(token, report);
  if (!refused.test(token.image)) refuseSign(token, around, report);
  return undefined;
}

function refuseDigits(token: IToken, report: Report): string | undefined {
  const span = placeOf(token);
  const reading = readNumber(token.image);
  const digits = [...token.image].map((c) => (/\p{Nd}/u.test(c) ? String(digitOf(c)) : c)).join("");
  if (!reading.ok)
    report.error(reading.code, reading.message, span, { hint: reading.hint, fix: { span, text: digits } });
  return readNumber(digits).ok ? digits : undefined;
}

function refuseSign(token: IToken, { before, strays, last, text }: Around, report: Report): void {
  const span = placeOf(token);
  const { image } = token;
  const message = `'${image}' means nothing here`;
  strays.push(image);
  if (quotes.has(image)) {
    // Only the first quote of a line is reported, with the one that closes it.
    if (strays.findIndex((one) => quotes.has(one)) < strays.length - 1) return;
    const quoted = /^.([^"“”„'‘’]*)["“”„'‘’]/.exec(text.slice(token.startOffset));
    if (quoted && before) {
      const both = { ...span, length: quoted[0].length };
      const fix = { span: both, text: `"${quoted[1]}"` };
      report.error("stray-character", message, span, { hint: "write '\"'", fix });
      return;
    }
  }
  // Of a long dash and its point, `–>`, the dash is reported.
  if (image === ">" && dashes.has(strays.at(-2)!) && before) return;
  const arrow = image === ">" && before && ["-", "="].includes(before.image);
  if (arrow) {
    const from = placeOf(before);
    const both = { ...from, length: span.column + 1 - from.column };
    report.error("stray-character", message, span, { hint: "write '->'", fix: { span: both, text: "->" } });
    return;
  }
  if (!before && comments.has(image)) {
    report.error("stray-character", message, span, {
      hint: "a comment begins with '#'",
      fix: { span, text: "#" },
    });
    return;
  }
  const known = Object.hasOwn(plain, image) && (!last || quotes.has(image)) ? plain[image] : undefined;
  report.error("stray-character", message, span, {
    hint: known === undefined ? "delete it" : `write '${known}'`,
    fix: { span, text: known ?? "" },
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

/** Refuses a number that begins with its point. */
export function refusePoint(token: IToken, report: Report, point = token): void {
  const span = { ...placeOf(point), length: 1 + token.image.length };
  report.error("number-malformed", `'.${token.image}' is not a number`, span, {
    hint: "a number begins with a digit",
    fix: { span: { ...span, length: 0 }, text: "0" },
  });
}

/** Refuses a text without its closing quote. */
export function refuseOpenText(token: IToken, line: string, report: Report): void {
  const span = { ...placeOf(token), length: token.image.trimEnd().length };
  const end = { line: span.line, column: line.trimEnd().length + 1, length: 0 };
  report.error("unclosed-text", `the text that opens on line ${span.line} has no closing quote`, span, {
    hint: 'close it with " on the same line',
    fix: { span: end, text: '"' },
  });
}
