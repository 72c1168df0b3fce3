// The language reference and the files generated from the parser: that they are up to date, that every example in
// the reference is a design, and that the highlighting grammar colours what it should.
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { highlighting } from "../../grammar/highlight.js";
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

describe("the highlighting grammar", () => {
  const { patterns, repository } = JSON.parse(highlighting()) as {
    patterns: { include: string }[];
    repository: Record<string, { match: string; name?: string; captures?: Record<string, { name: string }> }>;
  };

  test("every pattern it includes is there", () => {
    expect(patterns.map((p) => p.include.slice(1)).sort()).toEqual(Object.keys(repository).sort());
  });

  // A small stand-in for an editor: at each place the first pattern that matches there.
  function colours(line: string): string[] {
    const found: string[] = [];
    for (let at = 0; at < line.length; ) {
      const hit = patterns
        .map((p) => repository[p.include.slice(1)])
        .map((rule) => ({ rule, match: exec(rule.match, line, at) }))
        .find(({ match }) => match);
      if (!hit) {
        at++;
        continue;
      }
      const { rule, match } = hit;
      if (rule.name) found.push(`${match![0]}:${rule.name.split(".").slice(0, 2).join(".")}`);
      for (const [n, capture] of Object.entries(rule.captures ?? {})) {
        if (match![Number(n)])
          found.push(`${match![Number(n)]}:${capture.name.split(".").slice(0, 2).join(".")}`);
      }
      at += Math.max(1, match![0].length);
    }
    return found;
  }
  function exec(source: string, line: string, at: number): RegExpExecArray | null {
    const expression = new RegExp(source, "uy");
    expression.lastIndex = at;
    return expression.exec(line);
  }

  test.each([
    [
      "given timing = 15 nF +- 5 %",
      [
        "given:keyword.control",
        "=:keyword.operator",
        "15:constant.numeric",
        "nF:keyword.other",
        "+-:keyword.operator",
        "5:constant.numeric",
        "%:keyword.other",
      ],
    ],
    [
      "  diode Röhre ramp -> plus5 drop 0.6 V  # why",
      [
        "diode:storage.type",
        "Röhre:entity.name",
        "->:keyword.operator",
        "0.6:constant.numeric",
        "V:keyword.other",
        "# why:comment.line",
      ],
    ],
    [
      'check "of each" peak of ramp each gate below 10 V/ms',
      [
        "check:keyword.control",
        '"of each":string.quoted',
        "of:keyword.other",
        "each:keyword.other",
        "below:keyword.other",
        "10:constant.numeric",
        "V/ms:keyword.other",
      ],
    ],
    [
      "signal s = pulse atom to offset2, wide 4.7us",
      [
        "signal:keyword.control",
        "=:keyword.operator",
        "pulse:support.function",
        "to:keyword.other",
        "4.7:constant.numeric",
        "us:keyword.other",
      ],
    ],
  ])("%s", (line, wanted) => {
    expect(colours(line)).toEqual(wanted);
  });
});
