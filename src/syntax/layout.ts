// Lays a design out in its one canonical form. Reading the result gives the same tree and the same comments; laying it out again
// changes nothing. A text with mistakes is left alone.

import { type Diagnostic, Report } from "../base/diagnostic.js";
import { handedText } from "../base/handed.js";
import { largestOf } from "../base/search.js";
import { beginsStatement } from "./lines.js";
import { type Printed, print, type Segment } from "./print.js";
import { read } from "./read.js";
import type { Comment, Statement, Tree } from "./tree.js";
import { width } from "./width.js";

/** Columns after which a statement is broken at its commas. */
const right = 100;
/** Names wider than this do not widen the columns of their neighbours. */
const widest = 24;

/** The canonical text, or the mistakes that prevent it. */
export interface Formatted {
  /** The text laid out; absent if there are mistakes. */
  readonly text?: string;
  /** What is wrong with it. */
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Lays out a design text. One with mistakes is left alone; they are returned, not thrown.
 *
 * @category Designs
 * @example
 * ```ts
 * format("supply   plus5=5V").text; // "supply plus5 = 5 V\n"
 * ```
 */
export function format(source: string): Formatted {
  handedText(source, "text");
  const { tree, report } = read(source);
  if (report.failed) return { diagnostics: report.diagnostics };
  return { text: new Layout(tree).text(), diagnostics: report.diagnostics };
}

/** Writes a tree as text. */
export function formatTree(source: Tree): Formatted {
  const report = new Report();
  refuseTexts(source.statements, report);
  if (report.failed) return { diagnostics: report.diagnostics };
  return { text: new Layout(source).text(), diagnostics: [] };
}

// A tree made by a program may hold texts that the language cannot write.
function refuseTexts(statements: readonly Statement[], report: Report): void {
  for (const s of statements) {
    if (s.type === "block") refuseTexts(s.body, report);
    const texts: string[] = [];
    if (s.type === "title") texts.push(s.text);
    if (s.type === "bring" || s.type === "capture") texts.push(s.path.text);
    if (s.type === "capture" && s.scope) texts.push(s.scope.text);
    if (s.type === "check" && s.scope?.type === "capture" && s.scope.path) texts.push(s.scope.path.text);
    if ((s.type === "signal" || s.type === "part") && s.wave?.type === "capture")
      texts.push(s.wave.path.text);
    if (s.type === "case" || s.type === "check" || s.type === "show" || s.type === "testpoint")
      texts.push(s.name.text);
    if (s.type === "reading") texts.push(s.phrase.text);
    if ((s.type === "check" || s.type === "show" || s.type === "reading") && s.scope?.type === "case")
      texts.push(s.scope.name.text);
    if (s.type === "find") for (const goal of s.goals) texts.push(goal.text);
    for (const text of texts) {
      if (!/["\p{Cc}\p{Cs}]/u.test(text)) continue;
      report.error("text-not-writable", "a text in quotes has no quotes and no line ends in it", s.span, {
        hint: "take them out of the text",
      });
    }
  }
}

/** One line of the result; `blank` if an empty line stands before it. */
interface Row {
  readonly text: string;
  readonly blank: boolean;
}

class Layout {
  private readonly comments: readonly Comment[];
  /** Lines that hold only a comment. */
  private readonly remarks: ReadonlySet<number>;
  private taken = 0;
  private readonly rows: Row[] = [];
  /** Last source line that was laid out; a gap after it becomes a blank line. */
  private last = Number.POSITIVE_INFINITY;

  constructor(private readonly tree: Tree) {
    this.comments = [...tree.comments].sort(
      (a, b) => a.span.line - b.span.line || a.span.column - b.span.column,
    );
    this.remarks = new Set(this.comments.filter((one) => one.alone).map((one) => one.span.line));
  }

  text(): string {
    this.list(this.tree.statements, "");
    this.alone(Number.POSITIVE_INFINITY, "");
    return this.rows.map((row, i) => (row.blank && i > 0 ? `\n${row.text}\n` : `${row.text}\n`)).join("");
  }

  private list(statements: readonly Statement[], indent: string): void {
    const printed = statements.map(print);
    const last = statements.map((s, i) => lastLine(s, printed[i]));
    for (let i = 0; i < statements.length; ) {
      // Neighbours of one type share their columns.
      let end = i + 1;
      while (end < statements.length && this.joins(statements, printed, last, end)) end++;
      const widths = columns(printed.slice(i, end));
      for (; i < end; i++) this.statement(statements[i], printed[i], widths, indent);
    }
  }

  // True if a statement shares columns with the one before: no blank line parts them, and comments do not count.
  private joins(
    statements: readonly Statement[],
    printed: readonly Printed[],
    last: readonly number[],
    i: number,
  ): boolean {
    if (statements[i].type !== statements[i - 1].type || printed[i].columns.length === 0) return false;
    const first = firstLine(printed[i]);
    for (let line = last[i - 1] + 1; line < first; line++) if (!this.remarks.has(line)) return false;
    return true;
  }

  private statement(s: Statement, printed: Printed, widths: readonly number[], indent: string): void {
    const first = firstLine(printed);
    this.alone(first, indent);
    const lines = this.broken(printed, widths, indent);
    const blank = first - this.last > 1;
    for (const [i, text] of lines.entries()) this.rows.push({ text, blank: i === 0 && blank });
    this.last = largestOf(printed.segments.map((one) => one.last));
    if (s.type !== "block") return;
    const inner = `${indent}  `;
    // No blank line directly after the first line of a block.
    this.last = Number.POSITIVE_INFINITY;
    this.list(s.body, inner);
    const line = s.end?.line ?? 0;
    this.alone(line, inner);
    const trailing = this.take((one) => one.span.line <= line).map((one) => one.text);
    this.rows.push({ text: [`${indent}end`, ...trailing].join("  "), blank: false });
    this.last = line;
  }

  /** Comments on lines of their own before a line. */
  private alone(line: number, indent: string): void {
    for (const one of this.take((comment) => comment.span.line < line)) {
      this.rows.push({ text: indent + one.text, blank: one.span.line - this.last > 1 });
      this.last = one.span.line;
    }
  }

  private take(wanted: (comment: Comment) => boolean): Comment[] {
    const from = this.taken;
    while (this.taken < this.comments.length && wanted(this.comments[this.taken])) this.taken++;
    return this.comments.slice(from, this.taken);
  }

  // A statement as lines: segments fill a line up to the right edge; a comment behind a segment, or on a line of
  // its own before it, forces a break.
  private broken(printed: Printed, widths: readonly number[], indent: string): string[] {
    const segments = unbroken(printed.segments, printed.columns);
    const before: string[][] = segments.map(() => []);
    const behind: (string | undefined)[] = segments.map(() => undefined);
    const end = largestOf(segments.map((one) => one.last));
    for (const comment of this.take((one) => one.span.line <= end)) {
      const { line } = comment.span;
      let at = segments.length - 1;
      while (at > 0 && segments[at].first > line) at--;
      if (comment.alone) {
        const next = segments.findIndex((one) => one.first > line);
        before[next < 0 ? at : next].push(comment.text);
      } else {
        // Two comments behind one segment: the earlier one moves before it.
        if (behind[at] !== undefined) before[at].push(behind[at]!);
        behind[at] = comment.text;
      }
    }
    const rows = before[0].map((text) => indent + text);
    const inner = `${indent}    `;
    let row = indent + head(printed.columns, segments[0].text, widths);
    for (let i = 0; i < segments.length; i++) {
      const more = i < segments.length - 1;
      const comma = more ? "," : "";
      if (i > 0) {
        const text = segments[i].text;
        const breaks = before[i].length > 0 || behind[i - 1] !== undefined;
        if (breaks || width(row) + 1 + width(text) + comma.length > right) {
          rows.push(row);
          for (const one of before[i]) rows.push(inner + one);
          row = inner + text;
        } else row += ` ${text}`;
      }
      row += comma;
      if (behind[i] !== undefined) row += `  ${behind[i]}`;
    }
    rows.push(row);
    return rows;
  }
}

// A line that looks like the start of a statement, or like `end`, would be read as one; such a segment stays on the line before.
function unbroken(segments: readonly Segment[], columns: readonly string[]): readonly Segment[] {
  const before = columns[0] ?? segments[0].text;
  const kept: Segment[] = [];
  for (const [i, one] of segments.entries()) {
    const last = kept.at(-1);
    const text = i < segments.length - 1 ? `${one.text},` : one.text;
    if (last && beginsStatement(text, before)) {
      kept[kept.length - 1] = {
        text: `${last.text}, ${one.text}`,
        first: Math.min(last.first, one.first),
        last: Math.max(last.last, one.last),
      };
    } else kept.push(one);
  }
  return kept;
}

function head(columns: readonly string[], text: string, widths: readonly number[]): string {
  const padded = columns.map((column, i) => {
    const lone = i === columns.length - 1 && text === "";
    return lone ? column : column + " ".repeat(Math.max(0, widths[i] - width(column)));
  });
  return (text === "" ? padded : [...padded, text]).join(" ");
}

function columns(group: readonly Printed[]): number[] {
  return group[0].columns.map((_, i) =>
    largestOf(
      group.map((one) => width(one.columns[i])).filter((columns) => columns <= widest),
      0,
    ),
  );
}

function firstLine(printed: Printed): number {
  return printed.segments[0].first;
}

function lastLine(s: Statement, printed: Printed): number {
  return s.type === "block" ? (s.end?.line ?? 0) : largestOf(printed.segments.map((one) => one.last));
}
