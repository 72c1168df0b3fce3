// Every link in what people read leads somewhere: to a file or a folder of the repository and, behind a number sign, to a heading
// of it. Links to other places than files are few, and known.
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import { expect, test } from "vitest";
import { root } from "../command/running.js";

const made = new Set(["node_modules", "out", "dist", "docs", ".git", "shared"]);

/** The texts below a folder, as paths from the root. */
function textsIn(folder: string): string[] {
  return readdirSync(join(root, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return made.has(entry.name) ? [] : textsIn(path);
    return entry.name.endsWith(".md") ? [path] : [];
  });
}

const texts = textsIn("");
const read = (path: string) => readFileSync(join(root, path), "utf8");

/** What a text links to, pictures among it; what stands in blocks of code or between backticks is no link. */
function linksIn(path: string): string[] {
  const plain = read(path)
    .replace(/^```.*?^```$/gms, "")
    .replace(/`[^`\n]*`/g, "");
  return [...plain.matchAll(/\]\(([^)\s]+)\)/g)].map(([, target]) => target);
}

/** The names by which the headings of a text are linked to, as GitHub makes them: small letters, hyphens between the words. */
function headingsOf(path: string): string[] {
  return [...read(path).matchAll(/^#+ (.*)$/gm)].map(([, words]) =>
    words
      .toLowerCase()
      .replace(/[^\p{L}\p{N}\p{M} _-]/gu, "")
      .replaceAll(" ", "-"),
  );
}

test("all that is written is looked at", () => {
  expect(texts).toEqual(
    expect.arrayContaining([
      "README.md",
      "DEVELOPERS.md",
      "CHANGELOG.md",
      "src/README.md",
      "bench/README.md",
      "examples/guide/first.md",
      "examples/blocks/separators.md",
      "grammar/language.md",
      "grammar/editor/README.md",
      ".github/SECURITY.md",
    ]),
  );
  expect(texts.flatMap(linksIn).length).toBeGreaterThan(40);
});

test.each(texts)("%s links to nothing that is not there", (path) => {
  const wrong = linksIn(path).filter((target) => {
    const [file, heading] = target.split("#");
    const there = file === "" ? path : join(dirname(path), file);
    if (/^[a-z]+:/.test(target)) return true;
    if (relative("", there).startsWith("..") || !existsSync(join(root, there))) return true;
    return (
      heading !== undefined &&
      (statSync(join(root, there)).isDirectory() || !headingsOf(there).includes(heading))
    );
  });
  expect(wrong).toEqual([]);
});
