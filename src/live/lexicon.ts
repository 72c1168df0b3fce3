// The words that the editor colours, from the language's own tables. The page gets them as data: the parser is in the engine
// and need not be loaded twice.
import { unitWords } from "../base/quantity.js";
import { kinds, statementKinds } from "../parts/kinds.js";
import { clauseWords, shapeWords, statementWords } from "../syntax/tokens.js";

/** Words by sort. */
export interface Lexicon {
  readonly statements: readonly string[];
  readonly clauses: readonly string[];
  readonly shapes: readonly string[];
  readonly units: readonly string[];
  readonly kinds: readonly string[];
}

/** The words of the language. */
export function lexicon(): Lexicon {
  return {
    statements: statementWords,
    clauses: clauseWords,
    shapes: shapeWords,
    units: unitWords,
    kinds: [...kinds, ...statementKinds].map(({ word }) => word),
  };
}
