// The mistakes of a text as an editor shows them while it is typed, and their mends as quick fixes.

import type { Diagnostic } from "../base/diagnostic.js";
import type { Desk } from "./desk.js";
import { rangeIn } from "./positions.js";
import {
  type CodeAction,
  CodeActionKind,
  DiagnosticSeverity,
  type Range,
  type ShownDiagnostic as Shown,
} from "./protocol.js";

/** What an editor shows of a text. */
export function problems(desk: Desk, uri: string): Shown[] {
  const text = desk.text(uri);
  if (text === undefined) return [];
  return desk
    .inspect(uri)
    .diagnostics.filter((one) => !(one.code === "no-parts" && onlyBlocks(desk, uri)))
    .map((one) => shownOf(one, uri, text));
}

/** Whether a text only serves others that bring it: it holds blocks and no part. */
function onlyBlocks(desk: Desk, uri: string): boolean {
  const statements = desk.page(uri)?.tree.statements ?? [];
  const shared = statements.filter(({ type }) => type === "block" || type === "bring");
  return shared.length > 0 && shared.length === statements.length;
}

function shownOf(one: Diagnostic, uri: string, text: string): Shown {
  const { code, severity, message, span, hint, related } = one;
  return {
    range: rangeIn(text, span),
    severity: severity === "error" ? DiagnosticSeverity.Error : DiagnosticSeverity.Warning,
    code,
    source: "rampwright",
    message: hint === undefined ? message : `${message}\nmend: ${hint}`,
    relatedInformation: related?.map((other) => ({
      message: other.message,
      location: { uri, range: rangeIn(text, other.span) },
    })),
  };
}

/** The mends of mistakes within a range. */
export function mends(desk: Desk, uri: string, range: Range): CodeAction[] {
  const text = desk.text(uri);
  if (text === undefined) return [];
  return desk.inspect(uri).diagnostics.flatMap((one): CodeAction[] => {
    const { fix, hint } = one;
    const shown = shownOf(one, uri, text);
    if (!fix || !touch(shown.range, range)) return [];
    const edit = { range: rangeIn(text, fix.span), newText: fix.text };
    return [
      {
        title: titleOf(fix.text, text, edit.range, hint),
        kind: CodeActionKind.QuickFix,
        diagnostics: [shown],
        isPreferred: true,
        edit: { changes: { [uri]: [edit] } },
      },
    ];
  });
}

function titleOf(put: string, text: string, { start, end }: Range, hint: string | undefined): string {
  const line = text.split(/\r\n|\n|\r/)[start.line] ?? "";
  const old = line.slice(start.character, end.character);
  if (put === "") return old.trim() === "" ? (hint ?? "take it away") : `take '${old}' away`;
  return old === "" ? `write '${put.trim()}' here` : `write '${put}' for '${old}'`;
}

function touch(a: Range, b: Range): boolean {
  const before = (one: Range, other: Range) =>
    one.end.line < other.start.line ||
    (one.end.line === other.start.line && one.end.character < other.start.character);
  return !before(a, b) && !before(b, a);
}
