// The guide's page of all diagnostics and the sources hold each other: the page is what is made of them now, and every code that stands
// in them in any form has its place on it. That every code is provoked by a test is asked in tests/design/codes.test.ts.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { diagnosticsPage } from "../../grammar/diagnostics.js";
import { root } from "../command/running.js";

const page = readFileSync(join(root, "examples/guide/diagnostics.md"), "utf8");
const sections = [...page.matchAll(/^## (\S+)$/gm)].map(([, code]) => code);

test("it is what the sources say now (npm run grammar)", () => {
  expect(page).toBe(diagnosticsPage(join(root, "src")));
});

test("every code has its section, in order, with a cause at least", () => {
  const texts = readdirSync(join(root, "src"), { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".ts") && !name.startsWith("editor"))
    .map((name) => readFileSync(join(root, "src", name), "utf8"))
    .join("\n");
  // Whatever looks like the giving of a code, found without the page's own reader.
  const given = [
    /\b(?:error|warn|refusal|reportName|ended|neverBegun)\(\s*(?:[\w.]*report,\s*)?"([a-z]+(?:-[a-z]+)+)"/g,
    /\bcode: "([a-z]+(?:-[a-z]+)+)"/g,
  ].flatMap((say) => [...texts.matchAll(say)].map(([, code]) => code));
  expect(new Set(given).size).toBeGreaterThan(100);
  expect(given.filter((code) => !sections.includes(code))).toEqual([]);
  expect(sections).toEqual([...new Set(sections)].sort());
  expect(page).not.toMatch(/^## \S+\n\n(?!- )/m);
});

test("most say what mends them, and none says nothing", () => {
  const lines = page.match(/^- .*$/gm) ?? [];
  expect(lines.filter((line) => /^- [….,' ]*$/.test(line))).toEqual([]);
});
