// A whole text with a mend applied, as an editor would. A byte-order mark in front is no column of the first line.
import type { Fix } from "../../src/base/diagnostic.js";
import { mendLines } from "../../src/syntax/mend.js";

/** @throws RangeError when the mend names a place that the text does not have */
export function mend(text: string, fix: Fix): string {
  return text.charCodeAt(0) === 0xfeff ? text[0] + mendLines(text.slice(1), fix) : mendLines(text, fix);
}
