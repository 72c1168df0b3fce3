// Turns of phrase that are nearly those of the language: `ramp to ground`, `drop = 0.6 V`, `between 3 V to 5 V`, `in all cases`.
// Gives the words and the mend, or undefined if it is none of these.
import type { IToken } from "chevrotain";
import type { Fix } from "../base/diagnostic.js";
import { nearest } from "../base/nearest.js";
import type { Span } from "../base/span.js";
import { systems } from "../signals/sync.js";
import { placeOf } from "./line.js";
import * as t from "./tokens.js";

/** The diagnostic of a habit, as far as it differs from the usual one. */
export interface Habit {
  readonly code?: string;
  readonly message?: string;
  readonly span?: Span;
  readonly hint: string;
  readonly fix?: Fix;
}

/** Where reading stopped. */
export interface StoppedAt {
  /** The tokens of the statement. */
  readonly tokens: readonly IToken[];
  /** Index of the token that was not expected. */
  readonly at: number;
  /** That token, the two before it and the one after it. */
  readonly token: IToken;
  readonly one: IToken | undefined;
  readonly two: IToken | undefined;
  readonly next: IToken | undefined;
  /** What was expected there; empty if that is not known. */
  readonly phrase: string;
}

/** What is expected behind a complete statement. */
export const ended = "the end of the statement";

const image = (token: IToken | undefined) => token?.image ?? "";

export function instead(token: IToken, text: string, hint: string): Habit {
  return { hint, fix: { span: placeOf(token), text } };
}

/** A text before a token. */
export function before(token: IToken, text: string, hint: string): Habit {
  return { hint, fix: { span: { ...placeOf(token), length: 0 }, text } };
}

/** The stretch from the end of one token to another's end, or to its start. */
function behind(first: IToken, last: IToken, whole: boolean): Span {
  const from = placeOf(first);
  const column = from.column + from.length;
  return { line: from.line, column, length: last.startColumn! + (whole ? last.image.length : 0) - column };
}

/** The turn behind a trouble, if there is one. */
export function turnOf(stop: StoppedAt): Habit | undefined {
  const { tokens, at, token, phrase } = stop;
  const first = tokens[0].image;
  const isPart = tokens.some(({ tokenType }) => tokenType === t.Arrow) || phrase === "'->'";
  if (image(tokens[1]) === "=" && first !== "=")
    return before(tokens[0], "given ", "a value that has a name is a 'given': 'given timing = 15 nF'");
  if (isPart) return timed(stop) ?? condition(stop) ?? part(stop);
  if (first === "check" || first === "show") return checked(stop);
  if (first === "use") return used(stop);
  if (first === "case" && image(tokens[at - 1]) === "and" && phrase === ended)
    return {
      hint: "a comma stands between two changes",
      fix: { span: behind(tokens[at - 2], tokens[at - 1], true), text: "," },
    };
  if (first === "run" && phrase === ended && ["settled", "rest", "steady"].includes(token.image))
    return {
      hint: `how it starts stands behind ', from': ', from ${token.image}'`,
      fix: { span: behind(tokens[at - 1], token, false), text: ", from " },
    };
  return waveform(stop);
}

function part({ tokens, at, two, one, token, phrase }: StoppedAt): Habit | undefined {
  if (phrase === "'->'" && token.image === "to") return instead(token, "->", "write '->'");
  if (phrase !== ended || !one) return undefined;
  if (token.image === "=") {
    const glued = one.startOffset + one.image.length === token.startOffset;
    return instead(token, glued ? " " : "", "no '=' stands between a word and its value");
  }
  if (token.tokenType !== t.Numeral) return undefined;
  const listed = image(tokens[at - 3]) === "," || tokens[at - 4]?.tokenType === t.Arrow;
  if (two?.image === "with") return instead(two, "", "properties follow without 'with'");
  if (listed && ["at", "of", "is"].includes(one.image))
    return instead(one, "", `no '${one.image}' stands between a word and its value`);
  return undefined;
}

/** `closed at 1 ms`, `opens at 1 ms`. */
function timed({ two: word, one: when, token, phrase }: StoppedAt): Habit | undefined {
  if (phrase !== ended || token.tokenType !== t.Numeral || !word || !when) return undefined;
  const opens = ["opens", "open", "closes", "closed"].indexOf(word.image);
  if (opens < 0 || !["at", "between"].includes(when.image)) return undefined;
  const hint = "times are said like 'closed from 1 ms to 2 ms', 'closed before 1 ms' or 'closed after 1 ms'";
  if (when.image === "between") return { hint };
  const span = behind(word, when, true);
  const both = { ...span, column: placeOf(word).column, length: span.length + word.image.length };
  return { hint, fix: { span: both, text: opens < 2 ? "closed before" : "closed after" } };
}

/** `while gate above`, `closed while gate high`. */
function condition({ two, token, phrase }: StoppedAt): Habit | undefined {
  if (["above", "below"].includes(token.image) && two?.image === "while")
    return before(two, "closed ", "it is 'closed while': 'closed while gate above 2.5 V'");
  if (phrase !== "'above' or 'below'" || nearest(token.image, ["above", "below"])) return undefined;
  return { hint: "a condition is a place and a level: 'closed while gate above 2.5 V'" };
}

const bounds = new Map(Object.entries({ less: "below", smaller: "below", greater: "above", more: "above" }));
const clauses = new Set("is below above between each after before at from".split(" "));

function checked({ tokens, one, token, next, phrase }: StoppedAt): Habit | undefined {
  if (phrase === "'of'") {
    const clause = tokens.findIndex((word, i) => i > 3 && clauses.has(word.image));
    const what = tokens[clause - 1];
    if (clause < 0) return undefined;
    return { ...before(what, "of ", "a measure is 'of' something: 'peak of ramp'"), span: placeOf(what) };
  }
  if (phrase === "'and'") {
    if (token.image === "to") return instead(token, "and", "two bounds are 'between 3 V and 5 V'");
    const minus = tokens.findLast((sign) => sign.tokenType === t.Minus);
    return minus && instead(minus, "and", "two bounds are 'between 3 V and 5 V'");
  }
  if (token.image === "all" && one && next?.image === "cases")
    return {
      hint: "write 'in every case'",
      fix: { span: { ...behind(one, next, true), column: one.startColumn! + 2 }, text: " every case" },
    };
  if (!phrase.startsWith("a limit")) return undefined;
  if (token.image === "every") return instead(token, "each", "did you mean 'each'?");
  if (token.image === "for" && image(next) === "each")
    return instead(token, "", "write 'each' without 'for'");
  if (token.image === "within") return instead(token, "between", "did you mean 'between'?");
  if (one && ["current", "voltage", "power"].includes(token.image))
    return {
      hint: `of a part: '${one.image}.${token.image}'`,
      fix: { span: behind(one, token, false), text: "." },
    };
  const bound = bounds.get(token.image);
  if (!bound || next?.image !== "than") return undefined;
  const span = { ...placeOf(token), length: next.startColumn! + next.image.length - token.startColumn! };
  return { hint: `write '${bound}'`, fix: { span, text: bound } };
}

function used({ at, two, one, token, phrase }: StoppedAt): Habit | undefined {
  if (phrase !== ended || !one) return undefined;
  if (one.image === "with" && two?.image === ",") return instead(two, "", "no comma stands before 'with'");
  if (token.image === "with" && one.image === ",") return instead(one, "", "no comma stands before 'with'");
  if (at === 4 && t.isName(token.tokenType))
    return before(token, "joins ", "its places stand behind 'joins'");
  return undefined;
}

function waveform({ two, one, token, next, phrase }: StoppedAt): Habit | undefined {
  const touching = next?.startOffset === token.startOffset + 1 && next.tokenType === t.Numeral;
  if (phrase === "'to'" && token.tokenType === t.Comma && one?.tokenType === t.Numeral && touching)
    return instead(token, ".", "the sign before decimals is a point");
  if (phrase === "'to'" && token.tokenType === t.Numeral && one?.image === "from")
    return instead(one, "", "levels follow without 'from': 'pulse 0 V to 5 V'");
  if (phrase === "'/'" && two?.image === "of") return { hint: `systems are ${systems.join(", ")}` };
  if (phrase === "a pattern" && /^"[a-z ]+"$/.test(token.image))
    return instead(token, token.image.slice(1, -1), "a pattern stands without quotes");
  return undefined;
}
