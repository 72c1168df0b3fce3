// The language, case by case: cases/accepted.txt gives texts and their trees (see notation.ts), cases/rejected.txt
// gives texts and their diagnostics as `line:column code`. The expected trees and places are counted by hand from
// the language reference in grammar/language.md.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { format } from "../../src/syntax/layout.js";
import { read } from "../../src/syntax/read.js";
import { mend } from "./mended.js";
import { notation } from "./notation.js";

interface Case {
  readonly name: string;
  readonly text: string;
  readonly wanted: string;
}

function cases(file: string): Case[] {
  const text = readFileSync(new URL(`./cases/${file}`, import.meta.url), "utf8");
  return text
    .split(/^== /m)
    .slice(1)
    .map((one) => {
      const [, name, body, wanted] = /^(.*)\n([\s\S]*?)^--\n([\s\S]*)$/m.exec(one)!;
      return { name: name, text: body, wanted: wanted.trimEnd() };
    });
}

const accepted = cases("accepted.txt");
const rejected = cases("rejected.txt");

test("the case files are read", () => {
  expect(accepted.length).toBeGreaterThan(15);
  expect(rejected.length).toBeGreaterThan(15);
});

describe("accepted", () => {
  test.each(accepted)("$name", ({ text, wanted }) => {
    const { tree, report } = read(text);
    expect(report.diagnostics).toEqual([]);
    expect(tree.statements.map(notation).join("\n")).toBe(wanted);
  });

  test.each(accepted)("laid out: $name", ({ text, wanted }) => {
    const laid = format(text).text!;
    expect(read(laid).tree.statements.map(notation).join("\n")).toBe(wanted);
    expect(format(laid).text).toBe(laid);
  });
});

describe("rejected", () => {
  test.each(rejected)("$name", ({ text, wanted }) => {
    const found = read(text).report.diagnostics;
    expect(found.map((d) => `${d.span.line}:${d.span.column} ${d.code}`).join("\n")).toBe(wanted);
    for (const d of found) {
      expect(d.message).not.toMatch(/[\n]|undefined|NaN|EOF/);
      expect(d.hint).toBeTruthy();
    }
    expect(format(text).text).toBeUndefined();
  });

  test.each(rejected)("mends: $name", ({ text }) => {
    // Whatever mend is offered, with it one mistake fewer is left on its line, or the block counts are right.
    const before = read(text).report.diagnostics;
    for (const d of before) {
      if (!d.fix) continue;
      const after = read(mend(text, d.fix)).report.diagnostics;
      expect(after.length).toBeLessThanOrEqual(before.length);
      const same = after.filter((a) => a.code === d.code && a.span.line === d.span.line);
      const was = before.filter((a) => a.code === d.code && a.span.line === d.span.line);
      expect(same.length).toBeLessThan(was.length);
    }
  });
});
