// Positions in the language and in the protocol. Both count UTF-16 code units; the language from 1, the protocol from 0. Only the
// protocol counts a leading byte-order mark.

import type { Span } from "../base/span.js";
import { split } from "../syntax/lines.js";
import type { Position, Range } from "./protocol.js";

function markOf(text: string, line: number): number {
  return line === 1 && text.charCodeAt(0) === 0xfeff ? 1 : 0;
}

export function rangeIn(text: string, { line, column, length }: Span): Range {
  const character = Math.max(0, column - 1) + markOf(text, line);
  return { start: { line: line - 1, character }, end: { line: line - 1, character: character + length } };
}

/** The line and column of a position, from 1. */
export function placeAt(text: string, { line, character }: Position): { line: number; column: number } {
  return { line: line + 1, column: character + 1 - markOf(text, line + 1) };
}

/** The first thing whose span contains a place, or else ends there. */
export function foundAt<T extends { readonly span: Span }>(
  things: readonly T[],
  { line, column }: { readonly line: number; readonly column: number },
): T | undefined {
  const holds = ({ span }: T) => span.line === line && span.column <= column;
  return (
    things.find((one) => holds(one) && column < one.span.column + one.span.length) ??
    things.find((one) => holds(one) && column === one.span.column + one.span.length)
  );
}

/** The range of lines covered by all spans under a node. */
export function linesOf(text: string, node: object): Range {
  let [first, last] = [Number.POSITIVE_INFINITY, 0];
  const visit = (one: unknown) => {
    if (typeof one !== "object" || one === null) return;
    for (const [key, value] of Object.entries(one)) {
      // A block's end is stored apart from its span.
      if (key === "span" || key === "end") {
        first = Math.min(first, value?.line ?? first);
        last = Math.max(last, value?.line ?? last);
      } else visit(value);
    }
  };
  visit(node);
  const end = split(text)[last - 1] ?? "";
  return {
    start: { line: first - 1, character: 0 },
    end: { line: last - 1, character: end.length + markOf(text, last) },
  };
}
