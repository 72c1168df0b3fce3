// Judges a word after a number that is meant as a unit but is none. A plain name never follows a number, so such a word can only
// be meant as a unit. Letters glued to a number may be a letter code (`4K7`) or the name of a place (`2nd`), so they are left to
// a later stage unless they are plainly a mistyped unit.
import type { IToken } from "chevrotain";
import type { Diagnostic } from "../base/diagnostic.js";
import { nearest } from "../base/nearest.js";
import { readLetterCode, shortened, unitWords } from "../base/quantity.js";
import { cover, type Span } from "../base/span.js";
import { symbolOf } from "../base/spelled.js";
import { isUnit, lettersAt } from "./build.js";
import { placeOf } from "./line.js";
import { Name } from "./tokens.js";

const lonePrefix = /^[kMGmunpµμ]$/;

/** What is wrong with the unit of a number, or undefined. */
export function judgeUnit(token: IToken, after: IToken, following: IToken): Diagnostic | undefined {
  const at = lettersAt(token.image);
  const letters = at === undefined ? "" : token.image.slice(at);
  const { line, column } = placeOf(token);
  const glued: Span = { line, column: column + (at ?? 0), length: letters.length };
  if (after.tokenType === Name) {
    const span = placeOf(after);
    if (letters === "" && isUnit(after.image)) return undefined;
    if (letters !== "" && isUnit(letters + after.image))
      return splitUnit(letters, after.image, cover(glued, span));
    // The reader of numbers refuses what is neither a number nor a letter code.
    if (letters !== "" && isUnit(after.image) && !readLetterCode(token.image)) return undefined;
    if (letters !== "" && isUnit(after.image)) {
      return {
        code: "unexpected-word",
        severity: "error",
        message: `'${token.image}' has its unit already, '${after.image}' is one too many`,
        span,
        hint: "a letter code stands alone",
        fix: { span, text: "" },
      };
    }
    if (following.tokenType === Name && isUnit(after.image + following.image)) {
      return splitUnit(after.image, following.image, cover(span, placeOf(following)));
    }
    return unknown(after.image, nearest(after.image, unitWords), span);
  }
  if (letters === "") return undefined;
  const near = nearest(letters, unitWords);
  const caseAlone = near?.toLowerCase() === letters.toLowerCase();
  const plain =
    caseAlone || (near !== undefined && [...letters].length >= 3) || symbolOf(letters) !== undefined;
  return plain ? unknown(letters, near, glued, true) : undefined;
}

function splitUnit(prefix: string, unit: string, span: Span): Diagnostic {
  return unknown(`${prefix} ${unit}`, prefix + unit, span);
}

function unknown(written: string, near: string | undefined, span: Span, glued = false): Diagnostic {
  // `1k` is a resistor's value; the kelvin is near by its letter alone.
  const meant = written === "k" ? "kohm" : (symbolOf(written) ?? (written === "R" && !glued ? "ohm" : near));
  if (lonePrefix.test(written) && span.length === 1 && !glued)
    return {
      code: "unknown-unit",
      severity: "error",
      message: `'${written}' is a prefix, and no unit`,
      span,
      hint: `write the unit as well, as in '${written}ohm', or a letter code without a blank, as in '4K7' or '15n'`,
    };
  return {
    code: "unknown-unit",
    severity: "error",
    message: `'${shortened(written)}' is not a unit`,
    span,
    hint: meant
      ? `did you mean '${meant}'?`
      : "units are V, A, s, Hz, ohm, F, H, W, J, C, K, %, ppm and deg, with prefixes",
    fix: meant === undefined ? undefined : { span, text: meant },
  };
}
