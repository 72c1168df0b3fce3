// Applies a mend to the text that its diagnostic was made for. Lines are counted as `read` counts them.
import type { Fix } from "../base/diagnostic.js";

/**
 * Applies a fix to some lines of a text and returns them; its place counts from the first of them. A byte-order mark in
 * front counts as a character.
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
