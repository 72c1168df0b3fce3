// Turns of phrase that are nearly those of the language: `ramp to ground`, `drop = 0.6 V`, `between 3 V to 5 V`, `in all cases`.
// Gives the words and the mend, or undefined if it is none of these.
import type { IToken } from "chevrotain";
import type { Fix } from "../base/diagnostic.js";
import { nearest } from "../base/nearest.js";
import type { Span } from "../base/span.js";
import { systems } from "../signals/sync.js";
import type { Expected } from "./findings.js";
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

/** The trouble: its token, the tokens of its statement, and what was expected there. */
interface Trouble {
  readonly tokens: readonly IToken[];
  readonly at: number;
  readonly phrase: string;
}

const end = "the end of the statement";
const image = (token: IToken | undefined) => token?.image ?? "";
const mend = (token: IToken, text: string, hint: string): Habit => ({
  hint,
  fix: { span: placeOf(token), text },
});
const before = (token: IToken, text: string, hint: string): Habit => ({
  hint,
  fix: { span: { ...placeOf(token), length: 0 }, text },
});

/** The stretch from the end of one token to another's end, or to its start. */
function behind(first: IToken, last: IToken, whole: boolean): Span {
  const from = placeOf(first);
  const column = from.column + from.length;
  return { line: from.line, column, length: last.startColumn! + (whole ? last.image.length : 0) - column };
}

/** The turn behind a trouble, if there is one. */
export function turnOf(
  tokens: readonly IToken[],
  at: number,
  expected: Expected | undefined,
): Habit | undefined {
  const trouble = { tokens, at, phrase: expected?.phrase ?? "" };
  const first = tokens[0].image;
  const isPart = tokens.some((token) => token.tokenType === t.Arrow) || trouble.phrase === "'->'";
  if (image(tokens[1]) === "=" && first !== "=")
    return before(tokens[0], "given ", "a value that has a name is a 'given': 'given timing = 15 nF'");
  if (isPart) return timed(trouble) ?? condition(trouble) ?? part(trouble);
  if (first === "check" || first === "show") return checked(trouble);
  if (first === "use") return used(trouble);
  if (first === "case" && image(tokens[at - 1]) === "and" && trouble.phrase === end)
    return {
      hint: "a comma stands between two changes",
      fix: { span: behind(tokens[at - 2], tokens[at - 1], true), text: "," },
    };
  if (first === "run" && trouble.phrase === end && ["settled", "rest", "steady"].includes(image(tokens[at])))
    return {
      hint: `how it starts stands behind ', from': ', from ${image(tokens[at])}'`,
      fix: { span: behind(tokens[at - 1], tokens[at], false), text: ", from " },
    };
  return waveform(trouble);
}

function part({ tokens, at, phrase }: Trouble): Habit | undefined {
  const [two, one, token] = [tokens[at - 2], tokens[at - 1], tokens[at]];
  if (phrase === "'->'" && token.image === "to") return mend(token, "->", "write '->'");
  if (phrase !== end) return undefined;
  if (token.image === "=") {
    const glued = one.startOffset + one.image.length === token.startOffset;
    return mend(token, glued ? " " : "", "no '=' stands between a word and its value");
  }
  if (token.tokenType !== t.Numeral) return undefined;
  const listed = image(tokens[at - 3]) === "," || tokens[at - 4]?.tokenType === t.Arrow;
  if (image(two) === "with") return mend(two, "", "properties follow without 'with'");
  if (listed && ["at", "of", "is"].includes(one.image))
    return mend(one, "", `no '${one.image}' stands between a word and its value`);
  return undefined;
}

/** `closed at 1 ms`, `opens at 1 ms`. */
function timed({ tokens, at, phrase }: Trouble): Habit | undefined {
  const [word, when] = [tokens[at - 2], tokens[at - 1]];
  if (phrase !== end || tokens[at].tokenType !== t.Numeral) return undefined;
  const opens = ["opens", "open", "closes", "closed"].indexOf(image(word));
  if (opens < 0 || !["at", "between"].includes(when.image)) return undefined;
  const hint = "times are said like 'closed from 1 ms to 2 ms', 'closed before 1 ms' or 'closed after 1 ms'";
  if (when.image === "between") return { hint };
  const span = { ...behind(word, when, true) };
  const both = { ...span, column: placeOf(word).column, length: span.length + word.image.length };
  return { hint, fix: { span: both, text: opens < 2 ? "closed before" : "closed after" } };
}

/** `while gate above`, `closed while gate high`. */
function condition({ tokens, at, phrase }: Trouble): Habit | undefined {
  const two = tokens[at - 2];
  const token = tokens[at];
  if (["above", "below"].includes(token.image) && image(two) === "while")
    return before(two, "closed ", "it is 'closed while': 'closed while gate above 2.5 V'");
  if (phrase !== "'above' or 'below'" || nearest(token.image, ["above", "below"])) return undefined;
  return { hint: "a condition is a place and a level: 'closed while gate above 2.5 V'" };
}

const bounds: Readonly<Record<string, string>> = {
  less: "below",
  smaller: "below",
  greater: "above",
  more: "above",
};
const clauses: ReadonlySet<string> = new Set([
  "is",
  "below",
  "above",
  "between",
  "each",
  "after",
  "before",
  "at",
  "from",
]);

function checked({ tokens, at, phrase }: Trouble): Habit | undefined {
  const [one, token, next] = [tokens[at - 1], tokens[at], tokens[at + 1]];
  if (phrase === "'of'") {
    const clause = tokens.findIndex((word, i) => i > 3 && clauses.has(word.image));
    const what = tokens[clause - 1];
    if (clause < 0) return undefined;
    return { ...before(what, "of ", "a measure is 'of' something: 'peak of ramp'"), span: placeOf(what) };
  }
  if (phrase === "'and'") {
    if (token.image === "to") return mend(token, "and", "two bounds are 'between 3 V and 5 V'");
    const minus = tokens.findLast((sign) => sign.tokenType === t.Minus);
    return minus && mend(minus, "and", "two bounds are 'between 3 V and 5 V'");
  }
  if (token.image === "all" && image(next) === "cases")
    return {
      hint: "write 'in every case'",
      fix: { span: { ...behind(one, next, true), column: one.startColumn! + 2 }, text: " every case" },
    };
  if (!phrase.startsWith("a limit")) return undefined;
  if (token.image === "every") return mend(token, "each", "did you mean 'each'?");
  if (token.image === "for" && image(next) === "each") return mend(token, "", "write 'each' without 'for'");
  if (token.image === "within") return mend(token, "between", "did you mean 'between'?");
  if (["current", "voltage", "power"].includes(token.image))
    return {
      hint: `of a part: '${one.image}.${token.image}'`,
      fix: { span: behind(one, token, false), text: "." },
    };
  const bound = Object.hasOwn(bounds, token.image) ? bounds[token.image] : undefined;
  if (!bound || image(next) !== "than") return undefined;
  const span = { ...placeOf(token), length: next.startColumn! + next.image.length - token.startColumn! };
  return { hint: `write '${bound}'`, fix: { span, text: bound } };
}

function used({ tokens, at, phrase }: Trouble): Habit | undefined {
  if (phrase !== end) return undefined;
  const [two, one, token] = [tokens[at - 2], tokens[at - 1], tokens[at]];
  if (one.image === "with" && image(two) === ",") return mend(two, "", "no comma stands before 'with'");
  if (token.image === "with" && one.image === ",") return mend(one, "", "no comma stands before 'with'");
  if (at === 4 && t.isName(token.tokenType))
    return before(token, "joins ", "its places stand behind 'joins'");
  return undefined;
}

function waveform({ tokens, at, phrase }: Trouble): Habit | undefined {
  const [one, token, next] = [tokens[at - 1], tokens[at], tokens[at + 1]];
  const touching = next?.startOffset === token.startOffset + 1 && next.tokenType === t.Numeral;
  if (phrase === "'to'" && token.tokenType === t.Comma && one.tokenType === t.Numeral && touching)
    return mend(token, ".", "the sign before decimals is a point");
  if (phrase === "'to'" && token.tokenType === t.Numeral && one.image === "from")
    return mend(one, "", "levels follow without 'from': 'pulse 0 V to 5 V'");
  if (phrase === "'/'" && image(tokens[at - 2]) === "of")
    return { hint: `systems are ${systems.join(", ")}` };
  if (phrase === "a pattern" && /^"[a-z ]+"$/.test(token.image))
    return mend(token, token.image.slice(1, -1), "a pattern stands without quotes");
  return undefined;
}
