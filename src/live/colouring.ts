// The editor's colours, from the words of the language, and the completions that the engine offers.
/// <reference lib="dom" />
import type { Completion, CompletionContext, CompletionResult } from "@codemirror/autocomplete";
import { HighlightStyle, StreamLanguage, type StreamParser } from "@codemirror/language";
import { tags } from "@lezer/highlight";
import type { Suggestion } from "../editor/suggestions.js";
import type { Lexicon } from "./lexicon.js";
import type { OfferPlace } from "./messages.js";

interface LineState {
  /** Words met so far. */
  words: number;
}

/** The language as the editor colours it, by the rules of the language's highlighting grammar. */
export function coloured(lexicon: Lexicon): StreamLanguage<LineState> {
  const sets = {
    statement: new Set(lexicon.statements),
    clause: new Set(lexicon.clauses),
    shape: new Set(lexicon.shapes),
    unit: new Set(lexicon.units),
    kind: new Set(lexicon.kinds),
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

/** Ink by the sort of word; the page's style sets the colours. */
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

/** Asks what may be written at a position. */
export type AskOffers = (place: Omit<OfferPlace, "number">) => Promise<readonly Suggestion[]>;

/** The engine's offers, for the editor. */
export function offers(ask: AskOffers): (context: CompletionContext) => Promise<CompletionResult | null> {
  return async ({ state, pos, explicit }) => {
    const { number, from: start, text } = state.doc.lineAt(pos);
    const before = text.slice(0, pos - start);
    const partial = /[\p{L}_][\p{L}\p{N}\p{M}_]*$/u.exec(before)?.[0] ?? "";
    if (partial === "" && !explicit && !/[."/]$/.test(before)) return null;
    const found = await ask({ text: state.doc.toString(), line: number - 1, character: pos - start });
    // Offers that do not complete a phrase all start at one position.
    const from = start + (found.find(({ words }) => !words)?.from ?? before.length - partial.length);
    const options = found.map(({ label, kind, detail, words = 0 }): Completion => {
      // Of a phrase, leave out the words that stand there already.
      const rest = label.split(" ").slice(words).join(" ");
      return { label: rest, type: kind.toLowerCase(), info: detail };
    });
    return options.length === 0 ? null : { from, options, validFor: /^[\p{L}\p{N}\p{M}_]*$/u };
  };
}
