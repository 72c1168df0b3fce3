// What people write by habit from elsewhere, where it does not parse: `// note`, `0,015 uF`, a line that begins with what
// belongs to the line before, a property without its comma, the name of a colour system. Gives the words and the mend, or
// nothing where it is none of these.
import type { IToken } from "chevrotain";
import type { Fix } from "../base/diagnostic.js";
import type { Span } from "../base/span.js";
import { systems } from "../signals/sync.js";
import type { Expected } from "./findings.js";
import { type Line, placeOf } from "./line.js";
import * as t from "./tokens.js";

/** What is said of a habit. */
interface Habit {
  readonly code?: string;
  readonly message?: string;
  readonly span?: Span;
  readonly hint: string;
  readonly fix?: Fix;
}

/** Words in which a line goes on, and with which none begins. */
const joints: ReadonlySet<string> = new Set(["with", "joins", "as"]);

/** The habit that a trouble comes of. */
export function habitOf(token: IToken, line: Line, expected: Expected | undefined): Habit | undefined {
  const { tokens } = line;
  const at = tokens.indexOf(token);
  const [before, next] = [tokens[at - 1], tokens[at + 1]];
  return (
    goesOn(tokens[0]) ??
    comment(before, token, next) ??
    decimalComma(before, token) ??
    system(before, token, expected) ??
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

/** `//`, of which the one or the other stroke is the trouble. */
function comment(before: IToken | undefined, token: IToken, next: IToken | undefined): Habit | undefined {
  const strokes = [before, token, next].filter((one) => one?.tokenType === t.Slash);
  if (token.tokenType !== t.Slash || strokes.length < 2) return undefined;
  const span = { ...placeOf(strokes[0]!), length: 2 };
  return { hint: "a comment begins with '#'", fix: { span, text: "#" } };
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

function commaMissing(token: IToken, expected: Expected | undefined): Habit | undefined {
  if (!t.isName(token.tokenType) || expected?.phrase !== "the end of the statement") return undefined;
  const span = { ...placeOf(token), length: 0 };
  return { hint: "a comma stands before a property", fix: { span, text: ", " } };
}
