// Places in a text. Lines and columns count from 1; columns and lengths are in UTF-16 code units, as editors
// and the language server protocol count them. A span never crosses a line.

/** A stretch of text on one line. */
export interface Span {
  /** Line, from 1. */
  readonly line: number;
  /** Column of the first character, from 1, in UTF-16 code units. */
  readonly column: number;
  /** Length in UTF-16 code units, at least 1 unless the place is the end of the text. */
  readonly length: number;
}

/** The place used when a message concerns the text as a whole. */
export const wholeText: Span = { line: 1, column: 1, length: 0 };

/** A place in words, to go before a message; empty if the message concerns the text as a whole, or a call. */
export function placeWords({ line, column, length }: Span): string {
  return line === 1 && column === 1 && length === 0 ? "" : `${line}:${column}: `;
}

/** The smallest span that covers two spans of one line; the first one if they are on different lines. */
export function cover(a: Span, b: Span): Span {
  if (a.line !== b.line) return a;
  const column = Math.min(a.column, b.column);
  return { line: a.line, column, length: Math.max(a.column + a.length, b.column + b.length) - column };
}
