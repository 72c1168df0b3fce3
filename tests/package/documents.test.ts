// What is written for contributors names the tree as it is: every path and every file is there, every name stands in the code,
// and every folder of src stands in both lists, in the order that is checked.
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { root } from "../command/running.js";

const read = (path: string) => readFileSync(join(root, path), "utf8");
const files = ["src", "tests", "grammar", "bench", ".ci"].flatMap((folder) =>
  readdirSync(join(root, folder), { recursive: true, encoding: "utf8" }).map((name) => `${folder}/${name}`),
);
const names = new Set(files.map((path) => basename(path)));
const words = new Set(
  files
    .filter((path) => /\.(ts|mjs)$/.test(path) && path !== "src/blocks/shipped.ts")
    .flatMap((path) => read(path).match(/[A-Za-z_]\w*/g) ?? []),
);
const rooms = readdirSync(join(root, "src"), { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map(({ name }) => name)
  .sort();

/** Files that a recipe tells its reader to write. */
const toWrite = new Set(["src/parts/lamp.ts", "src/command/verbs/count.ts"]);
/** What scripts make, and the repository does not hold. */
const made = /^(out|dist|docs)\//;

/** What stands between backticks in a text, without its blocks of code. */
function quoted(text: string): string[] {
  return [...text.replace(/^```.*?^```$/gms, "").matchAll(/`([^`]+)`/g)].map(([, what]) => what);
}

/** Whether a path stands in the tree, seen from the root or from the text's own folder; a bare name may stand in any folder. */
function stands(path: string, folder: string): boolean {
  if (existsSync(join(root, path)) || existsSync(join(root, folder, path))) return true;
  return !path.includes("/") && names.has(path);
}

describe.each(["src/README.md", "DEVELOPERS.md"])("%s", (document) => {
  const text = read(document);

  test("names no path that is not there", () => {
    const paths = quoted(text)
      .flatMap((what) => what.split(/\s+/))
      .filter((word) => /^[\w./-]+$/.test(word) && /^[\w.-]+\/|\.(ts|mjs|md|json|svg|png|ramp)$/.test(word))
      .filter((word) => !made.test(word) && !toWrite.has(word));
    expect(paths.length).toBeGreaterThan(20);
    expect(paths.filter((path) => !stands(path, dirname(document)))).toEqual([]);
  });

  test("links to nothing that is not there", () => {
    const links = [...text.matchAll(/\]\((?!https?:)([^)#]+)/g)].map(([, target]) => target);
    expect(links.filter((target) => !existsSync(join(root, dirname(document), target)))).toEqual([]);
  });

  test("names nothing that the code does not know", () => {
    const called = quoted(text).flatMap((what) => /^([A-Za-z]\w*)(\(.*\))?$/.exec(what)?.[1] ?? []);
    expect(called.length).toBeGreaterThan(10);
    expect(called.filter((name) => !words.has(name) && !existsSync(join(root, name)))).toEqual([]);
  });
});

test("both list every folder of src, in the order of the layers", () => {
  const [, stages] = /const stages = \[(.*?)\];/s.exec(read(".ci/layers.mjs"))!;
  const order = [...stages.matchAll(/"(\w+)"/g)].map(([, stage]) => stage);
  const table = [...read("src/README.md").matchAll(/^\| `(\w+)` /gm)].map(([, stage]) => stage);
  expect([...table].sort()).toEqual(rooms);
  expect(table.filter((stage) => order.includes(stage))).toEqual(order);
  const [, rule] = /stand in an order: ([^;]+);/.exec(read("DEVELOPERS.md"))!;
  expect(rule.split(/,\s+/)).toEqual(order);
});

test("what the questions of a newcomer ask for stands in the first lines of the file that answers", () => {
  const rows = [...read("DEVELOPERS.md").matchAll(/^\| ([^|]+\?) +\| `([^`]+)` +\|$/gm)];
  expect(rows.length).toBeGreaterThanOrEqual(3);
  const small = new Set(["where", "what", "how", "is", "the", "when", "a", "does", "happens", "measured"]);
  for (const [, question, file] of rows) {
    const head = read(file)
      .split(/\n(?!\/\/)/, 1)[0]
      .toLowerCase();
    const asked = question.match(/[a-z]+/g)!.filter((word) => !small.has(word));
    expect(
      asked.filter((word) => !head.includes(word)),
      file,
    ).toEqual([]);
  }
});
