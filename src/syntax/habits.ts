// Recognises habits from other languages in what does not parse: `// note`, `0,015 uF`, a line that begins with a word that
// belongs to the line before, a property without its comma, the name of a colour system. Gives the words and the mend, or
// undefined if it is none of these.
import type { IToken } from "chevrotain";
import { readUnit } from "../base/quantity.js";
import { systems } from "../signals/sync.js";
import type { Expected } from "./findings.js";
import { type Line, placeOf } from "./line.js";
import * as t from "./tokens.js";
import { before, ended, type Habit, instead, type StoppedAt, turnOf } from "./turns.js";

/** Words that continue a line and never begin one. */
const joints: ReadonlySet<string> = new Set(["with", "joins", "as"]);

/** The habit behind a trouble, if there is one. */
export function habitOf(token: IToken, { tokens }: Line, expected: Expected | undefined): Habit | undefined {
  const at = tokens.indexOf(token);
  const [two, one, next] = [tokens[at - 2], tokens[at - 1], tokens[at + 1]];
  const stop: StoppedAt = { tokens, at, token, one, two, next, phrase: expected?.phrase ?? "" };
  for (const habit of habits) {
    const found = habit(stop);
    if (found) return found;
  }
  return undefined;
}

function goesOn({ tokens: [first] }: StoppedAt): Habit | undefined {
  if (!joints.has(first.image)) return undefined;
  return {
    code: "unknown-statement",
    message: `'${first.image}' begins no statement`,
    span: placeOf(first),
    hint: "a line goes on in the next one behind a comma, an arrow or '='",
  };
}

/** `//`: the trouble may be either stroke. */
function comment({ one, token, next }: StoppedAt): Habit | undefined {
  const strokes = [one, token, next].filter((each) => each?.tokenType === t.Slash);
  if (token.tokenType !== t.Slash || strokes.length < 2) return undefined;
  return {
    hint: "a comment begins with '#'",
    fix: { span: { ...placeOf(strokes[0]!), length: 2 }, text: "#" },
  };
}

/** `0,015`: digits, a comma and digits without a blank between them. */
function decimalComma({ one, token }: StoppedAt): Habit | undefined {
  if (one?.tokenType !== t.Comma || token.tokenType !== t.Numeral) return undefined;
  if (one.startOffset + 1 !== token.startOffset || one.startLine !== token.startLine) return undefined;
  return instead(one, ".", "the sign before decimals is a point");
}

/** `sync of PAL`: a system is called by its lines and fields. */
function system({ one, token, phrase }: StoppedAt): Habit | undefined {
  if (one?.image !== "of" || token.tokenType !== t.Name || phrase !== "a number") return undefined;
  const message = `no system is called '${token.image}'`;
  return { code: "unknown-system", message, hint: `systems are ${systems.join(", ")}` };
}

/** `15 nF 5 %` and `15 nF, 16 V`: a tolerance without its sign, a rating without its word. */
function bareFigure({ tokens: [first], one, token, next, phrase }: StoppedAt): Habit | undefined {
  if (first.image === "signal" || first.image === "check" || token.tokenType !== t.Numeral) return undefined;
  const listed = phrase === "a property" && one?.tokenType === t.Comma;
  if (!listed && phrase !== ended) return undefined;
  if (next?.tokenType === t.Percent) {
    const hint = "a tolerance stands behind '+-'";
    return listed ? instead(one, " +-", hint) : before(token, "+- ", hint);
  }
  const unit = next && t.isName(next.tokenType) ? next.image : /[A-Za-z]*$/.exec(token.image)![0];
  if (!/^[mkuµ]?[VAW]$/.test(unit)) return undefined;
  return before(token, listed ? "rated " : ", rated ", "what a part is rated for stands behind 'rated'");
}

/** `signal gate = 5 V`, and a sync that does not say which. */
function plainSource({ tokens: [first], token, phrase }: StoppedAt): Habit | undefined {
  if (!phrase.startsWith("a waveform")) return undefined;
  if (token.image === "sync")
    return before(token, "line ", "it is 'line sync', 'field sync' or 'composite sync'");
  if (first.image !== "signal" || token.tokenType !== t.Numeral) return undefined;
  return instead(first, "supply", "a voltage that does not change is a supply: 'supply plus5 = 5 V'");
}

/** `case "..." timing = 18 nF`. */
function caseValue({ tokens: [first], token, phrase }: StoppedAt): Habit | undefined {
  if (first.image !== "case" || token.image !== "=" || !phrase.startsWith("what happens to it"))
    return undefined;
  return instead(token, "is", "in a case a value 'is' another: 'timing is 18 nF'");
}

const limits: ReadonlySet<string> = new Set(["is", "below", "above", "between"]);

/** `is below 5 V`, `at most 5 V`, and a comma before a limit. */
function limitWords({ two, one, token, next }: StoppedAt): Habit | undefined {
  if (token.tokenType === t.Comma && next && limits.has(next.image))
    return instead(token, "", "no comma stands before a limit");
  if (!two || !one) return undefined;
  const both = { ...placeOf(two), length: one.startOffset + one.image.length - two.startOffset };
  if (two.image === "is" && limits.has(one.image) && one.image !== "is")
    return { hint: `write '${one.image}' without 'is'`, fix: { span: both, text: one.image } };
  const bound = two.image === "at" && { most: "below", least: "above" }[one.image];
  return bound ? { hint: `write '${bound}'`, fix: { span: both, text: bound } } : undefined;
}

/** `peak of ramp = 4 V`. */
function equalsLimit({ token, phrase }: StoppedAt): Habit | undefined {
  return token.image === "=" && phrase.startsWith("a limit") ? instead(token, "is", "write 'is'") : undefined;
}

const conditions: ReadonlySet<string> = new Set(["when", "if", "while"]);

/** `closed when gate above`, `closed if`, and `when gate above` without `closed`. */
function condition({ two, one, token }: StoppedAt): Habit | undefined {
  if (!two || !one) return undefined;
  if (two.image === "closed" && one.image !== "while" && conditions.has(one.image))
    return instead(one, "while", "did you mean 'while'?");
  if (!conditions.has(two.image) || !["above", "below"].includes(token.image)) return undefined;
  return instead(two, "closed while", "write 'closed while'");
}

/** `timing nF`, `Infinity V`: a unit behind a word. */
function unitBehindName({ one, token, phrase }: StoppedAt): Habit | undefined {
  if (!one || !t.isName(one.tokenType) || phrase !== ended) return undefined;
  if (!t.isName(token.tokenType) || !readUnit(token.image)) return undefined;
  if (/^(inf(inity)?|nan)$/i.test(one.image)) {
    const message = `'${one.image}' is not a number`;
    return { code: "number-malformed", message, span: placeOf(one), hint: "a number is written in digits" };
  }
  return instead(token, "", `'${one.image}' has a unit of its own`);
}

function commaMissing({ token, phrase }: StoppedAt): Habit | undefined {
  if (!t.isName(token.tokenType) || phrase !== ended) return undefined;
  return before(token, ", ", "a comma stands before a property");
}

/** The surer ones first. */
const habits: readonly ((stop: StoppedAt) => Habit | undefined)[] = [
  goesOn,
  comment,
  decimalComma,
  system,
  turnOf,
  bareFigure,
  plainSource,
  caseValue,
  limitWords,
  equalsLimit,
  condition,
  unitBehindName,
  commaMissing,
];
