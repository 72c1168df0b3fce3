// The guide is run: every design, command and script on its pages, and what stands below each is what it printed.
// After a change that is meant, `npx vitest run tests/examples/guide.test.ts -u` writes the outputs anew.
import { spawnSync } from "node:child_process";
import { cpSync, existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { program, root } from "../command/running.js";

const place = join(root, "examples/guide");
const pages = readdirSync(place).filter((name) => name.endsWith(".md"));
// Inside the project, so that a script finds the package by its name.
const scratch = join(root, "out", `guide-${process.pid}`);
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** What a script, or a line for the shell, prints. */
function printed(kind: string, text: string, name: string, cwd: string): string {
  const words =
    kind === "ts"
      ? [name]
      : [program, ...(text.match(/"[^"]*"|\S+/g) ?? []).slice(2).map((w) => w.replaceAll('"', ""))];
  if (kind === "ts") writeFileSync(join(cwd, name), text);
  const { stdout, stderr, status } = spawnSync(process.execPath, words, { cwd, encoding: "utf8" });
  // A check that fails is shown as well, and so are mistakes of a text; a script that fails is a mistake of the page.
  expect(status, stderr).toBeLessThan(kind === "ts" ? 1 : 3);
  return stdout || stderr;
}

/** The page with what its snippets print now. */
function played(page: string): string {
  const cwd = join(scratch, page.replace(".md", ""));
  // The captures that a page speaks of stand beside its designs.
  cpSync(join(root, "examples/captures"), cwd, { recursive: true });
  const block = /^```(ramp|sh|ts)(?: (\S+))?\n(.*?)^```$(?:\n\n^```text\n.*?^```$)?/gms;
  return readFileSync(join(place, page), "utf8").replace(block, (whole, kind, name, text) => {
    const own = `\`\`\`${kind}${name ? ` ${name}` : ""}\n${text}\`\`\``;
    if (kind === "ramp") writeFileSync(join(cwd, name), text);
    if (!whole.endsWith("```") || !/^```text$/m.test(whole)) return whole;
    return `${own}\n\n\`\`\`text\n${printed(kind, text, name, cwd)}\`\`\``;
  });
}

describe.each(pages)("%s", (page) => {
  const text = readFileSync(join(place, page), "utf8");

  test("prints what stands there", async () => {
    await expect(played(page)).toMatchFileSnapshot(join(place, page));
  });

  test("links to what is there", () => {
    for (const [, target] of text.matchAll(/\]\((?!https?:)([^)#]+)\)/g))
      expect(existsSync(join(place, target)), target).toBe(true);
  });
});

test("the pages lead from one to the next", () => {
  const reached = new Set(["first.md"]);
  for (const page of reached)
    for (const [, target] of readFileSync(join(place, page), "utf8").matchAll(/\]\((\w+\.md)\)/g))
      reached.add(target);
  expect([...reached].sort()).toEqual(pages);
});
