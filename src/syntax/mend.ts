// Applies a mend to a text. Takes the text a diagnostic was made for and its fix; gives the mended text. What
// always holds: lines are counted as `read` counts them (any line end, a byte-order mark is no column), and
// nothing but the stretch named by the fix changes.
import type { Fix } from "../base/diagnostic.js";

/**
 * The text with a fix applied.
 * @throws RangeError when the fix names a place that the text does not have
 */
export function mend(text: string, fix: Fix): string {
  return text.charCodeAt(0) === 0xfeff ? text[0] + mendLines(text.slice(1), fix) : mendLines(text, fix);
}

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
