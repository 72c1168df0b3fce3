// The words that the editor colours and offers, from the language's own tables. The page gets them as data: the parser stands in the
// engine, and need not be loaded a second time.
import { unitWords } from "../base/quantity.js";
import { measures } from "../measures/measures.js";
import { kinds, statementKinds } from "../parts/kinds.js";
import { clauseWords, shapeWords, statementWords } from "../syntax/tokens.js";

/** A word with what it is for. */
export interface OfferedWord {
  readonly word: string;
  readonly summary: string;
}

/** Words by what they are. */
export interface Lexicon {
  readonly statements: readonly string[];
  readonly clauses: readonly string[];
  readonly shapes: readonly string[];
  readonly units: readonly string[];
  readonly measures: readonly OfferedWord[];
  readonly kinds: readonly (OfferedWord & { readonly properties: readonly OfferedWord[] })[];
}

/** The words of the language. */
export function lexicon(): Lexicon {
  return {
    statements: statementWords,
    clauses: clauseWords,
    shapes: shapeWords,
    units: unitWords,
    measures: measures.map(({ words, summary }) => ({ word: words, summary })),
    kinds: [...kinds, ...statementKinds].map(({ word, summary, properties }) => ({
      word,
      summary,
      properties: properties.map((one) => ({ word: one.word, summary: one.summary })),
    })),
  };
}
