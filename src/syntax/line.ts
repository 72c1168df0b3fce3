// One statement as tokens, and the places of tokens: each carries its physical line and its column.
import { createTokenInstance, type IToken } from "chevrotain";
import type { Span } from "../base/span.js";
import { Newline } from "./tokens.js";

/** The tokens of one statement line, and the physical lines it stands on. */
export interface Line {
  tokens: IToken[];
  readonly first: number;
  last: number;
  /** True if it has a diagnostic already. */
  bad: boolean;
}

export function placeOf(token: IToken): Span {
  return { line: token.startLine!, column: token.startColumn!, length: token.image.length };
}

/** The token that ends a statement. */
export function newline(line: number, column: number): IToken {
  return createTokenInstance(Newline, "\n", 0, 0, line, line, column, column);
}
