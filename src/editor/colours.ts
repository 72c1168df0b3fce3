// Colours a text by what its words mean. Every token of our own lexer has a colour, even in a statement that cannot be read; in
// one that can, names and the words of parts, properties and measures are coloured by what they stand for.

import type { Span } from "../base/span.js";
import { digitsOf, isUnit } from "../syntax/build.js";
import { limits } from "../syntax/limits.js";
import { split } from "../syntax/lines.js";
import {
  CommentToken,
  isName,
  keywords,
  Numeral,
  OpenText,
  Percent,
  Stray,
  Text,
  tokenize,
} from "../syntax/tokens.js";
import type { Desk } from "./desk.js";
import type { NamedSort } from "./named.js";
import type { SemanticTokens } from "./protocol.js";

/** The names of the colours in the protocol. */
export const legend = {
  tokenTypes: [
    "keyword",
    "type",
    "property",
    "function",
    "number",
    "enumMember",
    "string",
    "comment",
    "operator",
    "variable",
    "event",
    "struct",
    "namespace",
    "parameter",
    "class",
  ],
  tokenModifiers: ["declaration", "readonly"],
};

const ofSort: Readonly<Record<NamedSort, string>> = {
  value: "variable",
  supply: "event",
  signal: "event",
  part: "struct",
  use: "namespace",
  place: "parameter",
  block: "class",
  case: "string",
  check: "string",
};

const ofMention = {
  kind: "type",
  property: "property",
  measure: "function",
  pattern: "enumMember",
  number: "number",
  unit: "enumMember",
} as const;

interface Coloured {
  readonly span: Span;
  readonly colour: string;
  readonly declares: boolean;
  readonly fixed: boolean;
}

/** The colours of a text. */
export function colours(desk: Desk, uri: string): SemanticTokens {
  const text = desk.text(uri);
  if (text === undefined) return { data: [] };
  const data: number[] = [];
  let [line, character] = [0, 0];
  for (const { span, colour, declares, fixed } of coloured(desk, uri, text)) {
    const [row, column] = [
      span.line - 1,
      span.column - 1 + (span.line === 1 && text.startsWith("\ufeff") ? 1 : 0),
    ];
    const type = legend.tokenTypes.indexOf(colour);
    data.push(row - line, row === line ? column - character : column, span.length, type);
    data.push((declares ? 1 : 0) + (fixed ? 2 : 0));
    [line, character] = [row, column];
  }
  return { data };
}

function coloured(desk: Desk, uri: string, text: string): Coloured[] {
  const meant = meanings(desk, uri);
  const found: Coloured[] = [];
  for (const [i, source] of split(text).entries()) {
    if (source.length > limits.line || found.length > limits.statements) continue;
    for (const token of tokenize(source)) {
      const span = { line: i + 1, column: token.startOffset + 1, length: token.image.length };
      // `2nd.ramp` is one token and two names.
      const own = meant.get(span.line)?.filter((one) => within(one.span, span)) ?? [];
      if (own.length > 0) found.push(...own);
      else found.push(...plain({ ...token, startLine: i + 1, startColumn: span.column }, span));
    }
  }
  return found;
}

function within(inner: Span, outer: Span): boolean {
  return inner.column >= outer.column && inner.column + inner.length <= outer.column + outer.length;
}

/** What the tree says that words mean, by line, from left to right. */
function meanings(desk: Desk, uri: string): ReadonlyMap<number, Coloured[]> {
  const { occurrences, mentions } = desk.index(uri);
  const found = new Map<number, Coloured[]>();
  const meet = (one: Coloured) => {
    const line = found.get(one.span.line) ?? [];
    if (
      !line.some(
        ({ span }) =>
          span.column < one.span.column + one.span.length && one.span.column < span.column + span.length,
      )
    )
      line.push(one);
    found.set(one.span.line, line);
  };
  for (const { named, span } of occurrences) {
    const declares = named.uri === uri && named.span.line === span.line && named.span.column === span.column;
    meet({ span, colour: ofSort[named.sort], declares, fixed: named.sort === "value" });
  }
  for (const { span, about } of mentions)
    meet({ span, colour: ofMention[about], declares: false, fixed: false });
  for (const line of found.values()) line.sort((a, b) => a.span.column - b.span.column);
  return found;
}

/** A token by itself. */
function plain(token: Parameters<typeof digitsOf>[0], span: Span): Coloured[] {
  const of = (colour: string, at = span): Coloured[] => [{ span: at, colour, declares: false, fixed: false }];
  const { tokenType: type, image } = token;
  if (type === CommentToken) return of("comment");
  if (type === Text || type === OpenText) return of("string");
  if (type === Percent) return of("enumMember");
  if (type === Numeral) {
    const { digits, unit } = digitsOf(token);
    return [...of("number", digits.span), ...(unit ? of("enumMember", unit.span) : [])];
  }
  if (isName(type)) {
    if ((keywords as readonly string[]).includes(image)) return of("keyword");
    return isUnit(image) ? of("enumMember") : [];
  }
  return type === Stray ? [] : of("operator");
}
