// Reads a design text into its tree and a report, in time proportional to its length. It never throws, whatever the text. Every
// mistaken statement makes a diagnostic of its own, every good one is in the tree, and a mend in the report has been tried.

import type { IToken } from "chevrotain";
import { type Diagnostic, type Fix, Report } from "../base/diagnostic.js";
import { firstWhere } from "../base/search.js";
import { wholeText } from "../base/span.js";
import { type Explanation, explain, unknownKind } from "./explain.js";
import { grammar } from "./grammar.js";
import { inItsOwn, limits } from "./limits.js";
import type { Line } from "./line.js";
import { cut, plainlyBeyond, refuseRest, split } from "./lines.js";
import { mendLines } from "./mend.js";
import { balanceBlocks } from "./nesting.js";
import { isName, statementWords, Text } from "./tokens.js";
import type { Comment, Statement, Tree } from "./tree.js";

/** What the caller knows about words that the grammar does not. */
interface KnownWords {
  /** Kinds of part. If given, a part of any other kind is refused here but stays in the tree. */
  readonly kinds?: readonly string[];
}

/** Mends are tried for this many diagnostics and for statements up to this many characters. */
const tried = { diagnostics: Report.cap, characters: 4000 };

/** Mistakes after which reading stops: nobody mends a thousand at once, and each costs time. */
const enough = 1000;

/** Reads a design text into its tree; what is wrong with it is in the report. */
export function read(text: string, words: KnownWords = {}): { tree: Tree; report: Report } {
  const report = new Report();
  if (text.length > limits.text) {
    const message = `a design may have ${limits.text} characters at most, this text has ${text.length}`;
    report.error(
      "text-too-long",
      message,
      { line: 1, column: 1, length: 1 },
      {
        hint: inItsOwn,
      },
    );
    return { tree: { statements: [], comments: [] }, report };
  }
  const source = split(text);
  const beyond = plainlyBeyond(source);
  if (beyond !== undefined) {
    refuseRest(beyond + 1, false, report);
    return { tree: { statements: [], comments: [] }, report };
  }
  const found = new Report();
  const lines: Line[] = [];
  const comments: Comment[] = [];
  const statements: Statement[] = [];
  const explained: Explanation[] = [];
  const attempt = new Attempt(source, lines);
  let done = 0;
  // The line behind a `case` that ends before its changes: they may stand there, and are then no mistake of their own.
  let below = 0;
  for (const tokens of balanceBlocks(recorded(cut(source, found, comments), lines), found)) {
    const read = grammar().parse(tokens);
    for (const statement of read.statements) statements.push(statement);
    for (const trouble of read.troubles) {
      if (explained.length >= enough) break;
      const line = attempt.lineAt(trouble.token.startLine!);
      // One diagnostic was made for this statement already; a second would follow from the first.
      if (!line || line.bad) continue;
      line.bad = true;
      const [first] = line.tokens;
      if (line.first === below && !(statementWords as readonly string[]).includes(first.image)) continue;
      if (first.image === "case" && line.tokens.length === 3) below = line.last + 1;
      explained.push(explain(trouble, line, words.kinds));
      report.lose(line.tokens.slice(1).flatMap(nameIn));
    }
    if (explained.length >= enough) break;
    // The tokens are no longer needed: the tree has all that is in them.
    for (; done < lines.length; done++) lines[done].tokens = [];
  }
  // Mistakes in characters and quotes keep the mends they came with, if these serve.
  for (const diagnostic of found.diagnostics) report.add(attempt.keep(diagnostic));
  for (const one of explained) report.add(attempt.choose(one));
  if (words.kinds) refuseKinds(statements, words.kinds, (explained) => report.add(attempt.choose(explained)));
  if (statements.length === 0 && !report.failed) {
    report.error("empty-design", "the text has no statement", wholeText, {
      hint: "begin with a supply, a signal or a part",
    });
  }
  return { tree: { statements, comments }, report };
}

/** The name that a token can stand for; in quotes that of a check or a case. */
function nameIn({ tokenType, image }: IToken): string[] {
  if (tokenType === Text) return [image.slice(1, -1)];
  return isName(tokenType) ? [image] : [];
}

function* recorded(lines: Iterable<Line>, into: Line[]): Generator<Line> {
  for (const line of lines) {
    into.push(line);
    yield line;
  }
}

function refuseKinds(
  statements: readonly Statement[],
  kinds: readonly string[],
  refuse: (explained: Explanation) => void,
): void {
  const known = new Set(kinds);
  for (const statement of statements) {
    if (statement.type === "block") refuseKinds(statement.body, kinds, refuse);
    if (statement.type === "part" && !known.has(statement.kind.text)) {
      refuse(unknownKind(statement.kind.text, statement.kind.span, kinds));
    }
  }
}

/** Tries mends on single statements of a text. */
class Attempt {
  private left: number = tried.diagnostics;

  constructor(
    private readonly source: readonly string[],
    private readonly lines: readonly Line[],
  ) {}

  /** The statement that stands on a physical line, by bisection. */
  lineAt(number: number): Line | undefined {
    const line = this.lines[firstWhere(0, this.lines.length, (i) => this.lines[i].last >= number)];
    return line && line.first <= number ? line : undefined;
  }

  /** A diagnostic with the first of its mends that serves. */
  choose({ diagnostic, fixes }: Explanation): Diagnostic {
    if (this.left-- <= 0) return diagnostic;
    const found = fixes.find((one) => this.serves(one));
    if (!found) return diagnostic;
    const { hint = diagnostic.hint, ...fix } = found;
    return { ...diagnostic, hint, fix };
  }

  /** A diagnostic, without its mend if that does not serve. */
  keep(diagnostic: Diagnostic): Diagnostic {
    const { fix, ...rest } = diagnostic;
    // A mend that adds or removes an `end` concerns blocks, which `balanceBlocks` has counted.
    if (!fix || /-(block|end)$/.test(diagnostic.code)) return diagnostic;
    return this.choose({ diagnostic: rest, fixes: [fix, ...closings(diagnostic, this.source)] });
  }

  private serves(fix: Fix): boolean {
    const line = this.lineAt(fix.span.line);
    const first = line?.first ?? fix.span.line;
    const text = this.source.slice(first - 1, line?.last ?? first).join("\n");
    if (text.length > tried.characters) return false;
    const mended = mendLines(text, { ...fix, span: { ...fix.span, line: fix.span.line - first + 1 } });
    const report = new Report();
    const lines = [...cut(mended.split("\n"), report)];
    if (report.failed || lines.length > 1) return false;
    if (lines.length === 0) return true;
    const word = lines[0].tokens[0].image;
    if (word === "end" && lines[0].tokens.length === 2) return true;
    // A lone block header is a block that lacks its end.
    const [tokens = []] = balanceBlocks(lines, new Report());
    const { statements, troubles } = grammar().parse(tokens);
    return troubles.length === 0 && statements.length === 1;
  }
}

/** Further mends for a text that was not closed: a quote after each of its first words. */
function closings(diagnostic: Diagnostic, source: readonly string[]): Fix[] {
  if (diagnostic.code !== "unclosed-text") return [];
  const { line, column, length } = diagnostic.span;
  const text = source[line - 1].slice(column - 1, Math.min(column - 1 + length, column + 400));
  const ends = [...text.matchAll(/\S(?=\s)/g)].slice(0, 30);
  return ends.map(({ index }) => ({ span: { line, column: column + index + 1, length: 0 }, text: '"' }));
}
