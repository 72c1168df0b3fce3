// The blocks that ship: the core has the texts of examples/blocks, each is a sound text in the canonical layout, and a
// design can bring every one of them by its name.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { shipped } from "../../src/blocks/shipped.js";
import { inspect } from "../../src/index.js";
import { format } from "../../src/syntax/layout.js";
import { read } from "../../src/syntax/read.js";
import { root } from "../command/running.js";

const folder = join(root, "examples/blocks");
const names = readdirSync(folder)
  .filter((name) => name.endsWith(".ramp"))
  .map((name) => name.replace(/\.ramp$/, ""));

test("the core has those of examples/blocks, no more and no less", () => {
  expect([...shipped.keys()]).toEqual(names.sort());
});

describe.each(names)("%s", (name) => {
  const text = readFileSync(join(folder, `${name}.ramp`), "utf8");
  test("is in the core line by line as it stands in its file, but for comments", () => {
    const lines = text.split("\n");
    const { comments } = read(text).tree;
    expect(comments.length).toBeGreaterThan(0);
    for (const { span } of comments)
      lines[span.line - 1] = lines[span.line - 1].slice(0, span.column - 1).trimEnd();
    expect(shipped.get(name)?.split("\n")).toEqual(lines);
  });
  test("is laid out as the formatter does it, and begins by saying what it is for", () => {
    expect(format(text).text).toBe(text);
    expect(text).toMatch(/^# \w/);
  });
  test("can be brought by its name", () => {
    const design = `bring "shipped/${name}"\nsupply plus5 = 5 V\nresistor load plus5 -> ground 1 kohm\n`;
    expect(inspect(design).diagnostics).toEqual([]);
  });
});
