// What the parser found wrong, as data for `explain`: the token where it stopped, and either what was expected there or a full
// diagnostic.
import {
  type IParserErrorMessageProvider,
  type IToken,
  MismatchedTokenException,
  type TokenType,
} from "chevrotain";
import type { Diagnostic } from "../base/diagnostic.js";
import { enumerated } from "../base/quantity.js";
import * as t from "./tokens.js";

/** What could stand at a place: a description, and the words or signs themselves where they are fixed. */
export interface Expected {
  readonly phrase: string;
  readonly literals: readonly string[];
}

/** One mistake. */
export interface Trouble {
  /** The token that was not expected. */
  readonly token: IToken;
  readonly expected?: Expected;
  /** In place of `expected`, where more is known. */
  readonly diagnostic?: Diagnostic;
}

/** Stops the rule that found a mistake. The grammar treats it like the library's own errors and resumes after the statement. */
export class TroubleFound extends MismatchedTokenException {
  constructor(trouble: Trouble, previous: IToken) {
    super("", trouble.token, previous);
  }
}

/** The fixed text of a token type, or undefined where it has none. */
function literalOf(type: TokenType): string | undefined {
  return type.LABEL?.startsWith("'") ? type.LABEL.slice(1, -1) : undefined;
}

function oneOf(types: readonly TokenType[], phrase?: string): string {
  const labels = [...new Set(types.map((type) => type.LABEL ?? type.name))];
  const literals = types.map(literalOf).filter((text) => text !== undefined);
  return JSON.stringify({ phrase: phrase ?? enumerated(labels, "or"), literals } satisfies Expected);
}

// The library hands on text only, so what was expected travels as JSON; `expectedOf` takes it out again.
const firsts = (paths: readonly (readonly TokenType[])[]): TokenType[] =>
  paths.flatMap((path) => path.slice(0, 1));

/** Message provider of the parser. */
export const provider: IParserErrorMessageProvider = {
  buildMismatchTokenMessage: ({ expected }) => oneOf([expected]),
  buildNoViableAltMessage: ({ expectedPathsPerAlt, customUserDescription }) =>
    oneOf(expectedPathsPerAlt.flatMap(firsts), customUserDescription),
  buildEarlyExitMessage: ({ expectedIterationPaths, customUserDescription }) =>
    oneOf(firsts(expectedIterationPaths), customUserDescription),
  buildNotAllInputParsedMessage: () => oneOf([t.Newline]),
};

/** What an error of the library expected. */
export function expectedOf(message: string): Expected {
  return JSON.parse(message) as Expected;
}
