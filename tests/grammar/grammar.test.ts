// The language reference and the files generated from the parser: that they are up to date, that every example in
// the reference is a design.
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { productions } from "../../grammar/productions.js";
import { railroad } from "../../grammar/railroad.js";
import { formal, generated } from "../../grammar/reference.js";
import { withWords } from "../../grammar/wordbook.js";
import { read } from "../../src/syntax/read.js";
import { keywords, statementWords } from "../../src/syntax/tokens.js";

const file = (name: string) => readFileSync(new URL(`../../grammar/${name}`, import.meta.url), "utf8");
const language = file("language.md");

test.each(Object.entries(generated(language)))("grammar/%s is up to date (npm run grammar)", (name, text) => {
  expect(file(name)).toBe(text);
});

test("its tables of words are up to date (npm run grammar)", () => {
  expect(withWords(language)).toBe(language);
});

const examples = [...language.matchAll(/^```ramp\n([\s\S]*?)^```$/gm)].map((one) => one[1]);

test("every example of the reference is a design", () => {
  expect(examples.length).toBeGreaterThan(7);
  for (const example of examples) expect(read(example).report.diagnostics, example).toEqual([]);
});

test("every statement has its place in the reference and an example", () => {
  const all = examples.join("\n");
  for (const word of statementWords) {
    expect(language).toMatch(new RegExp(`^## .*\\b${word}\\b`, "m"));
    if (word !== "bring") expect(all).toMatch(new RegExp(`^\\s*${word}\\b`, "m"));
  }
});

test("every code of the syntax stage is in the reference", () => {
  const folder = new URL("../../src/syntax/", import.meta.url);
  const sources = readdirSync(folder).map((name) => readFileSync(new URL(name, folder), "utf8"));
  const codes = sources.flatMap((s) => [
    ...s.matchAll(/(?:error\(\s*|code: |\? |: |\[)"([a-z]+(?:-[a-z]+)+)"/g),
  ]);
  expect(codes.length).toBeGreaterThan(12);
  for (const [, code] of codes) expect(language).toContain(`\`${code}\``);
});

describe("the formal grammar", () => {
  const rules = productions();

  test("every rule that is mentioned is there", () => {
    const names = new Set(rules.map((rule) => rule.name));
    const mentioned = JSON.stringify(rules).matchAll(/"type":"rule","name":"(\w+)"/g);
    for (const [, name] of mentioned) expect(names).toContain(name);
  });

  test("every word of the language stands in it, save none", () => {
    const text = formal(rules);
    for (const word of keywords) expect(text).toContain(`"${word}"`);
  });

  test("the pictures hold every rule, and every box lies inside the drawing", () => {
    const svg = railroad(rules);
    for (const rule of rules) expect(svg).toContain(`<g id="${rule.name}">`);
    const [, width, height] = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg)!;
    for (const [, x, y, w, h] of svg.matchAll(
      /<rect[^>]* x="([-\d.]+)" y="([-\d.]+)" width="([\d.]+)" height="([\d.]+)"/g,
    )) {
      expect(Number(x)).toBeGreaterThanOrEqual(0);
      expect(Number(y)).toBeGreaterThanOrEqual(0);
      expect(Number(x) + Number(w)).toBeLessThanOrEqual(Number(width));
      expect(Number(y) + Number(h)).toBeLessThanOrEqual(Number(height));
    }
  });
});
