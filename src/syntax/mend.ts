// Applies a mend to the text that its diagnostic was made for. Lines are counted as `read` counts them.
import type { Fix } from "../base/diagnostic.js";

/**
 * Lines out of a text with a fix applied, whose place counts from the first of them; a byte-order mark in front is a
 * character like any other.
 * @throws RangeError when the fix names a place that the lines do not have
 */
export function mendLines(text: string, fix: Fix): string {
  const { line, column, length } = fix.span;
  let start = 0;
  const ends = /\r\n|\n|\r/g;
  ends.lastIndex = start;
  for (let n = 1; n < line; n++) {
    const end = ends.exec(text);
    if (!end) throw new RangeError(`the text has no line ${line}`);
    start = end.index + end[0].length;
  }
  const from = start + column - 1;
  if (from + length > text.length) throw new RangeError(`line ${line} has no column ${column + length}`);
  return text.slice(0, from) + fix.text + text.slice(from + length);
}
