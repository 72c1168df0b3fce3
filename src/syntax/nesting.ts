// Limits how deep brackets and blocks nest before the recursive parser sees them, so that the stack cannot overflow; marks
// the signs of two-sided tolerances; and balances blocks, so that the parser never meets a missing or a stray `end`.
import { createTokenInstance, type IToken } from "chevrotain";
import type { Report } from "../base/diagnostic.js";
import { limits } from "./limits.js";
import { type Line, newline, placeOf } from "./line.js";
import * as t from "./tokens.js";

/**
 * One pass over the tokens of a statement: depth of brackets, number of signs, and the marks of `-20 % / +80 %`.
 * False if it is too deep or has too many signs.
 */
export function withinDepth(line: Line, report: Report): boolean {
  const minus: (IToken | undefined)[] = [undefined];
  let depth = 0;
  let signs = 0;
  const tokens = line.tokens;
  const marked: IToken[] = [];
  for (let i = 0; i < tokens.length; i++) {
    const token = tokens[i];
    marked.push(token);
    const type = token.tokenType;
    if (type === t.Open) {
      minus[++depth] = undefined;
      if (depth > limits.depth) {
        const message = `brackets stand ${limits.depth} deep at most`;
        report.error("too-deep", message, placeOf(token), { hint: "name a part of it with given" });
        return false;
      }
    } else if (type === t.Close) {
      depth = Math.max(0, depth - 1);
    } else if (type === t.Comma) {
      signs = 0;
      minus[depth] = undefined;
      // A stroke directly before a plus has no other meaning, since a number takes no plus in front.
    } else if (type === t.Slash && tokens[i + 1].tokenType === t.Plus && minus[depth]) {
      t.retype(minus[depth]!, t.Less);
      t.retype(token, t.More);
      minus[depth] = undefined;
      i++; // the plus is part of the mark
    } else if (type === t.Plus || type === t.Minus || type === t.Times || type === t.Slash) {
      if (type === t.Minus) minus[depth] = token;
      if (++signs > limits.signs) {
        const message = `one expression has ${limits.signs} signs of arithmetic at most`;
        report.error("too-deep", message, placeOf(token), { hint: "name a part of it with given" });
        return false;
      }
    }
  }
  line.tokens = marked;
  return true;
}

/**
 * The tokens of each outermost statement, with blocks balanced: an `end` without a block is reported and left out, a block
 * without an `end` is reported at its opener and closed, one too deep is reported and left out whole.
 */
export function* balanceBlocks(lines: Iterable<Line>, report: Report): Generator<IToken[]> {
  let tokens: IToken[] = [];
  let last = newline(1, 1);
  const openers: IToken[] = [];
  let skipping = 0;
  for (const line of lines) {
    const first = line.tokens[0];
    last = line.tokens.at(-1)!;
    const opens = first.tokenType === t.keyword.block;
    const closes = first.tokenType === t.keyword.end;
    if (skipping > 0) {
      skipping += opens ? 1 : closes ? -1 : 0;
      continue;
    }
    if (opens) {
      if (openers.length >= limits.depth) {
        report.error("too-deep", `blocks stand ${limits.depth} deep at most`, placeOf(first), {
          hint: "write it outside of the others, and use it there",
        });
        skipping = 1;
        continue;
      }
      openers.push(first);
    }
    if (closes && openers.pop() === undefined) {
      report.error("stray-end", "'end' closes no block", placeOf(first), {
        hint: "delete it, or begin the block with: block NAME joins PLACE, PLACE",
        fix: line.tokens.length === 2 ? { span: placeOf(first), text: "" } : undefined,
      });
      continue;
    }
    for (const token of line.tokens) tokens.push(token);
    if (openers.length > 0) continue;
    yield tokens;
    tokens = [];
  }
  if (openers.length === 0) return;
  const [line, column] = [last.startLine!, last.startColumn!];
  for (const opener of openers.toReversed()) {
    const span = placeOf(opener);
    report.error("unclosed-block", `the block that opens on line ${span.line} has no 'end'`, span, {
      hint: "write 'end' on a line of its own after its last statement",
      related: [{ message: "the text ends here", span: { line, column, length: 0 } }],
      fix: openers.length === 1 ? { span: { line, column, length: 0 }, text: "\nend" } : undefined,
    });
    tokens.push(
      createTokenInstance(t.keyword.end, "end", 0, 0, line, line, column, column),
      newline(line, column),
    );
  }
  yield tokens;
}
