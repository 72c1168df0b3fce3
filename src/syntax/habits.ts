// Recognises habits from other languages in what does not parse: `// note`, `0,015 uF`, a line that begins with a word that
// belongs to the line before, a property without its comma, the name of a colour system. Gives the words and the mend, or
// undefined if it is none of these.
import type { IToken } from "chevrotain";
import { readUnit } from "../base/quantity.js";
import { systems } from "../signals/sync.js";
import type { Expected } from "./findings.js";
import { type Line, placeOf } from "./line.js";
import * as t from "./tokens.js";
import { type Habit, turnOf } from "./turns.js";

/** Words that continue a line and never begin one. */
const joints: ReadonlySet<string> = new Set(["with", "joins", "as"]);

/** The habit behind a trouble, if there is one. */
export function habitOf(token: IToken, line: Line, expected: Expected | undefined): Habit | undefined {
  const { tokens } = line;
  const at = tokens.indexOf(token);
  const [before, next] = [tokens[at - 1], tokens[at + 1]];
  const part = tokens[0].image !== "signal" && tokens[0].image !== "check";
  return (
    goesOn(tokens[0]) ??
    comment(before, token, next) ??
    decimalComma(before, token) ??
    system(before, token, expected) ??
    turnOf(tokens, at, expected) ??
    (part ? bareFigure(before, token, next, expected) : undefined) ??
    plainSource(tokens[0], token, expected) ??
    caseValue(tokens[0], token, expected) ??
    limitWords(tokens[at - 2], before, token, next) ??
    equalsLimit(token, expected) ??
    condition(tokens[at - 2], before, token) ??
    unitBehindName(before, token, expected) ??
    commaMissing(token, expected)
  );
}

function goesOn(first: IToken): Habit | undefined {
  if (!joints.has(first.image)) return undefined;
  const message = `'${first.image}' begins no statement`;
  return {
    code: "unknown-statement",
    message,
    span: placeOf(first),
    hint: "a line goes on in the next one behind a comma, an arrow or '='",
  };
}

/** `//`: the trouble may be either stroke. */
function comment(before: IToken | undefined, token: IToken, next: IToken | undefined): Habit | undefined {
  const strokes = [before, token, next].filter((one) => one?.tokenType === t.Slash);
  if (token.tokenType !== t.Slash || strokes.length < 2) return undefined;
  const span = { ...placeOf(strokes[0]!), length: 2 };
  return { hint: "a comment begins with '#'", fix: { span, text: "#" } };
}

/** `15 nF 5 %` and `15 nF, 16 V`: a tolerance without its sign, a rating without its word. */
function bareFigure(
  before: IToken | undefined,
  token: IToken,
  next: IToken | undefined,
  expected: Expected | undefined,
): Habit | undefined {
  const listed = expected?.phrase === "a property" && before?.tokenType === t.Comma;
  if (token.tokenType !== t.Numeral || !(listed || expected?.phrase === "the end of the statement"))
    return undefined;
  const span = { ...placeOf(token), length: 0 };
  const unit = next && t.isName(next.tokenType) ? next.image : /[A-Za-z]*$/.exec(token.image)![0];
  if (next?.tokenType === t.Percent)
    return {
      hint: "a tolerance stands behind '+-'",
      fix: listed ? { span: placeOf(before), text: " +-" } : { span, text: "+- " },
    };
  if (!/^[mkuµ]?[VAW]$/.test(unit)) return undefined;
  return {
    hint: "what a part is rated for stands behind 'rated'",
    fix: { span, text: listed ? "rated " : ", rated " },
  };
}

/** `signal gate = 5 V`, and a sync that does not say which. */
function plainSource(first: IToken, token: IToken, expected: Expected | undefined): Habit | undefined {
  if (!expected?.phrase.startsWith("a waveform")) return undefined;
  if (token.image === "sync")
    return {
      hint: "it is 'line sync', 'field sync' or 'composite sync'",
      fix: { span: { ...placeOf(token), length: 0 }, text: "line " },
    };
  if (first.image !== "signal" || token.tokenType !== t.Numeral) return undefined;
  return {
    hint: "a voltage that does not change is a supply: 'supply plus5 = 5 V'",
    fix: { span: placeOf(first), text: "supply" },
  };
}

/** `case "..." timing = 18 nF`. */
function caseValue(first: IToken, token: IToken, expected: Expected | undefined): Habit | undefined {
  if (first.image !== "case" || token.image !== "=" || !expected?.phrase?.startsWith("what happens to it"))
    return undefined;
  return {
    hint: "in a case a value 'is' another: 'timing is 18 nF'",
    fix: { span: placeOf(token), text: "is" },
  };
}

const limits: ReadonlySet<string> = new Set(["is", "below", "above", "between"]);

/** `is below 5 V`, `at most 5 V`, and a comma before a limit. */
function limitWords(
  first: IToken | undefined,
  before: IToken | undefined,
  token: IToken,
  next: IToken | undefined,
): Habit | undefined {
  if (token.tokenType === t.Comma && next && limits.has(next.image))
    return { hint: "no comma stands before a limit", fix: { span: placeOf(token), text: "" } };
  if (first === undefined || before === undefined) return undefined;
  const both = { ...placeOf(first), length: before.startOffset + before.image.length - first.startOffset };
  if (first.image === "is" && limits.has(before.image) && before.image !== "is")
    return { hint: `write '${before.image}' without 'is'`, fix: { span: both, text: before.image } };
  const bound = first.image === "at" && { most: "below", least: "above" }[before.image];
  return bound ? { hint: `write '${bound}'`, fix: { span: both, text: bound } } : undefined;
}

/** `peak of ramp = 4 V`. */
function equalsLimit(token: IToken, expected: Expected | undefined): Habit | undefined {
  if (token.image !== "=" || !expected?.phrase.startsWith("a limit")) return undefined;
  return { hint: "write 'is'", fix: { span: placeOf(token), text: "is" } };
}

const conditions: ReadonlySet<string> = new Set(["when", "if", "while"]);

/** `closed when gate above`, `closed if`, and `when gate above` without `closed`. */
function condition(first: IToken | undefined, before: IToken | undefined, token: IToken): Habit | undefined {
  if (first === undefined || before === undefined) return undefined;
  if (first.image === "closed" && before.image !== "while" && conditions.has(before.image))
    return { hint: "did you mean 'while'?", fix: { span: placeOf(before), text: "while" } };
  if (!conditions.has(first.image) || !["above", "below"].includes(token.image)) return undefined;
  return { hint: "write 'closed while'", fix: { span: placeOf(first), text: "closed while" } };
}

/** `0,015`: digits, a comma and digits without a blank between them. */
function decimalComma(before: IToken | undefined, token: IToken): Habit | undefined {
  if (before?.tokenType !== t.Comma || token.tokenType !== t.Numeral) return undefined;
  if (before.startOffset + 1 !== token.startOffset || before.startLine !== token.startLine) return undefined;
  return { hint: "the sign before decimals is a point", fix: { span: placeOf(before), text: "." } };
}

/** `sync of PAL`: a system is called by its lines and fields. */
function system(
  before: IToken | undefined,
  token: IToken,
  expected: Expected | undefined,
): Habit | undefined {
  if (before?.image !== "of" || token.tokenType !== t.Name || expected?.phrase !== "a number")
    return undefined;
  const message = `no system is called '${token.image}'`;
  return { code: "unknown-system", message, hint: `systems are ${systems.join(", ")}` };
}

/** `timing nF`, `Infinity V`: a unit behind a word. */
function unitBehindName(
  before: IToken | undefined,
  token: IToken,
  expected: Expected | undefined,
): Habit | undefined {
  if (!before || !t.isName(before.tokenType) || expected?.phrase !== "the end of the statement")
    return undefined;
  if (!t.isName(token.tokenType) || !readUnit(token.image)) return undefined;
  if (/^(inf(inity)?|nan)$/i.test(before.image)) {
    const message = `'${before.image}' is not a number`;
    return {
      code: "number-malformed",
      message,
      span: placeOf(before),
      hint: "a number is written in digits",
    };
  }
  const span = placeOf(token);
  return { hint: `'${before.image}' has a unit of its own`, fix: { span, text: "" } };
}

function commaMissing(token: IToken, expected: Expected | undefined): Habit | undefined {
  if (!t.isName(token.tokenType) || expected?.phrase !== "the end of the statement") return undefined;
  const span = { ...placeOf(token), length: 0 };
  return { hint: "a comma stands before a property", fix: { span, text: ", " } };
}
