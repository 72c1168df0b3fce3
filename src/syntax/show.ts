// Shows a diagnostic as text for people: the place, the message, the line with the stretch underlined, and what to do. Tabs and
// wide characters do not shift the marks, a long line is cut to a window, and no control character reaches the terminal.

import type { Diagnostic } from "../base/diagnostic.js";
import { handed, handedText } from "../base/handed.js";
import { placeWords } from "../base/span.js";
import { split } from "./lines.js";
import { width } from "./width.js";

/** Columns of the line that are shown. */
const window = 100;
const tab = "    ";

/**
 * A diagnostic as lines of text, without a line end after the last:
 *
 *     line.ramp:3:24: error unknown-unit: 'Vlt' is not a unit
 *     3 | supply plus12 = 12 Vlt
 *       |                    ^^^
 *       mend: units are V, A, s, Hz, ohm, F, H, W, J, C, K, %, ppm and deg, with prefixes
 *
 * @category Designs
 * @example
 * ```ts
 * const source = "supply plus12 = 12 Vlt";
 * for (const one of inspect(source).diagnostics) console.log(showDiagnostic(one, source, "line.ramp"));
 * ```
 */
export function showDiagnostic(d: Diagnostic, text: string, fileName: string): string {
  handed("diagnostic", d, "diagnostic");
  handedText(text, "text");
  const { line, column, length } = d.span;
  const rows = [
    `${printable(fileName)}:${placeWords(d.span) || " "}${d.severity} ${d.code}: ${printable(d.message)}`,
  ];
  const source = split(text)[line - 1];
  const margin = String(line).length;
  const gap = " ".repeat(margin);
  if (source !== undefined && text !== "" && placeWords(d.span) !== "") {
    const { shown, mark } = cut(source, column - 1, length);
    rows.push(`${line} | ${shown}`, `${gap} | ${mark}`);
  }
  for (const one of d.related ?? []) {
    rows.push(`${gap} also: ${printable(one.message)} (line ${one.span.line}, column ${one.span.column})`);
  }
  if (d.hint) rows.push(`${gap} mend: ${printable(d.hint)}`);
  return rows.join("\n");
}

// The line from a little before the place to the right edge of the window, and the marks under it.
function cut(source: string, start: number, length: number): { shown: string; mark: string } {
  const at = Math.min(start, source.length);
  let from = 0;
  if (source.length > window && at > window / 2) from = boundary(source, at - window / 2);
  const to = boundary(source, Math.min(source.length, from + window));
  const left = from > 0 ? "…" : "";
  const lead = left + printable(source.slice(from, at));
  const marked = printable(source.slice(at, Math.min(at + length, to)));
  const tail = printable(source.slice(Math.min(at + length, to), to));
  return {
    shown: lead + marked + tail + (to < source.length ? "…" : ""),
    mark: " ".repeat(width(lead)) + "^".repeat(Math.max(1, width(marked))),
  };
}

// An index moved out from between the halves of a surrogate pair.
function boundary(source: string, at: number): number {
  const code = source.charCodeAt(at);
  return code >= 0xdc00 && code <= 0xdfff && at > 0 ? at - 1 : at;
}

// Replaces tabs by blanks, and control characters, lone surrogates and marks of writing direction by U+FFFD.
function printable(text: string): string {
  return text
    .replaceAll("\t", tab)
    .replace(/[\p{Cc}\p{Cs}\u200e\u200f\u202a-\u202e\u2066-\u2069]/gu, "\ufffd");
}
