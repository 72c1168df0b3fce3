// The colours and the offers of the editor, both from the words of the language.
/// <reference lib="dom" />
import type { Completion, CompletionContext, CompletionResult } from "@codemirror/autocomplete";
import { HighlightStyle, StreamLanguage, type StreamParser } from "@codemirror/language";
import { tags } from "@lezer/highlight";
import type { Lexicon, OfferedWord } from "./lexicon.js";

/** What colouring remembers of a line. */
interface LineState {
  /** Words met so far. */
  words: number;
}

/** The language as the editor colours it; the rules are those of the language's highlighting grammar. */
export function coloured(lexicon: Lexicon): StreamLanguage<LineState> {
  const sets = {
    statement: new Set(lexicon.statements),
    clause: new Set(lexicon.clauses),
    shape: new Set(lexicon.shapes),
    unit: new Set(lexicon.units),
    kind: new Set(lexicon.kinds.map(({ word }) => word)),
  };
  const parser: StreamParser<LineState> = {
    name: "ramp",
    startState: () => ({ words: 0 }),
    token(stream, state) {
      if (stream.sol()) state.words = 0;
      if (stream.eatSpace()) return null;
      if (stream.match(/^#.*/)) return "comment";
      if (stream.match(/^"[^"]*"?/)) {
        state.words++;
        return "string";
      }
      if (stream.match(/^\d[\d.]*(?:[eE][+-]?\d+)?/)) {
        state.words++;
        return "number";
      }
      if (stream.match(/^(?:->|→|\+\/?-|±|[-+*/=])/)) return "operator";
      const [word] = (stream.match(/^[\p{L}_][\p{L}\p{N}\p{M}_]*/u) as RegExpMatchArray | null) ?? [""];
      if (word === "") {
        stream.next();
        return null;
      }
      const first = state.words++ === 0;
      if (first && sets.statement.has(word)) return "keyword";
      if (first && sets.kind.has(word)) return "typeName";
      if (sets.unit.has(word) && /[\d)]\s*$/.test(stream.string.slice(0, stream.start))) return "unit";
      if (state.words === 2 && !sets.clause.has(word)) return "variableName";
      if (sets.shape.has(word)) return "atom";
      return sets.clause.has(word) ? "modifier" : null;
    },
    languageData: { commentTokens: { line: "#" } },
  };
  return StreamLanguage.define(parser);
}

/** Colours by what a word is; the page's style says which. */
export const inkOfWords = HighlightStyle.define([
  { tag: tags.comment, color: "var(--faint)", fontStyle: "italic" },
  { tag: tags.string, color: "var(--text-string)" },
  { tag: tags.number, color: "var(--text-number)" },
  { tag: tags.unit, color: "var(--text-number)" },
  { tag: tags.keyword, color: "var(--text-word)", fontWeight: "600" },
  { tag: tags.typeName, color: "var(--text-word)" },
  { tag: tags.atom, color: "var(--text-word)" },
  { tag: tags.modifier, color: "var(--text-clause)" },
  { tag: tags.variableName, color: "var(--text-name)", fontWeight: "600" },
]);

/** What may be meant at a place of the text. */
export function offers(
  lexicon: Lexicon,
  names: () => readonly string[],
): (context: CompletionContext) => CompletionResult | null {
  const option = ({ word, summary }: OfferedWord, type: string): Completion => ({
    label: word,
    info: summary,
    type,
  });
  const plain = (words: readonly string[], type: string) =>
    words.map((label): Completion => ({ label, type }));
  const begins = [
    ...plain(lexicon.statements, "keyword"),
    ...lexicon.kinds
      .filter(({ word }) => !lexicon.statements.includes(word))
      .map((kind) => option(kind, "type")),
  ];
  const insides = [...plain(lexicon.clauses, "keyword"), ...plain(lexicon.shapes, "keyword")];
  return (context) => {
    const line = context.state.doc.lineAt(context.pos);
    const before = line.text.slice(0, context.pos - line.from);
    if (/^[^"]*(?:"[^"]*"[^"]*)*#/.test(before) || (before.split('"').length & 1) === 0) return null;
    const word = /[\p{L}_][\p{L}\p{N}\p{M}_.]*$/u.exec(before)?.[0] ?? "";
    if (word === "" && !context.explicit) return null;
    const from = context.pos - word.length;
    const ahead = before.slice(0, before.length - word.length);
    if (/^\s*$/.test(ahead)) return { from, options: begins, validFor: /^[\p{L}_]*$/u };
    if (/\d\s*$/.test(ahead)) return { from, options: plain(lexicon.units, "unit"), validFor: /^[\p{L}]*$/u };
    const opening = /^\s*(\S+)/.exec(before)?.[1];
    if (
      (opening === "check" || opening === "show") &&
      /"[^"]*"\s*[\p{L} ]*$/u.test(ahead) &&
      !/\bof\b/.test(ahead)
    )
      return { from, options: lexicon.measures.map((one) => option(one, "function")) };
    const kind = lexicon.kinds.find((one) => one.word === opening);
    const own = (kind?.properties ?? []).map((one) => option(one, "property"));
    const known = plain(names(), "variable");
    return { from, options: [...own, ...known, ...insides], validFor: /^[\p{L}\p{N}\p{M}_.]*$/u };
  };
}
