// The API pages: every function that an entry of the package hands out stands under one of the categories, and has an example. The
// examples compile as a reader would copy them, and run: what one says behind `//` that an expression gives, it gives.
import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { inspect as shown } from "node:util";
import { transformSync } from "esbuild";
import ts from "typescript";
import { beforeAll, describe, expect, test } from "vitest";
import { root } from "../command/running.js";

const pages = JSON.parse(readFileSync(join(root, "typedoc.json"), "utf8"));
const entries: readonly string[] = pages.entryPoints;
const categories: readonly string[] = pages.categoryOrder;

test("the guide stands in reading order, all of it, and an entry has the name by which it is imported", () => {
  const guide = readdirSync(join(root, "examples/guide")).map((file) => `examples/guide/${file}`);
  const listed: string[] = pages.projectDocuments;
  expect([...listed].sort()).toEqual(guide.sort());
  expect(listed[0]).toBe("examples/guide/first.md");
  const { name, exports } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  for (const [path, { types }] of Object.entries<{ types?: string }>(exports)) {
    const file = types?.replace("./dist", "src").replace(".d.ts", ".ts");
    if (file === undefined) continue;
    expect(entries).toContain(file);
    const [, called] = /@module (\S+)/.exec(readFileSync(join(root, file), "utf8")) ?? [];
    expect(called).toBe(join(name, path));
  }
});

/** What an entry hands out, as it is declared. */
interface Handed {
  readonly name: string;
  readonly file: string;
  readonly node: ts.Node;
}

const sources = new Map<string, ts.SourceFile>();

function source(file: string): ts.SourceFile {
  const text = () => readFileSync(join(root, file), "utf8");
  const read = sources.get(file) ?? ts.createSourceFile(file, text(), ts.ScriptTarget.ES2023, true);
  sources.set(file, read);
  return read;
}

function exported(node: ts.Statement): boolean {
  return (
    ts.canHaveModifiers(node) && !!node.modifiers?.some((one) => one.kind === ts.SyntaxKind.ExportKeyword)
  );
}

/** The functions and constants of a file by their names; of an overloaded function its first signature. */
function declared(file: string): Map<string, ts.Node> {
  const found = new Map<string, ts.Node>();
  for (const node of source(file).statements) {
    if (!exported(node)) continue;
    const names = ts.isVariableStatement(node)
      ? node.declarationList.declarations.map(({ name }) => name.getText())
      : ts.isFunctionDeclaration(node) || ts.isClassDeclaration(node)
        ? [node.name!.text]
        : [];
    for (const name of names) if (!found.has(name)) found.set(name, node);
  }
  return found;
}

/** What a file hands out by its own statements and by those that hand on what others declare. */
function handedOut(file: string): Handed[] {
  const own = [...declared(file)].map(([name, node]) => ({ name, file, node }));
  const on = source(file).statements.flatMap((node) => {
    if (!ts.isExportDeclaration(node) || node.isTypeOnly || !node.moduleSpecifier) return [];
    const from = join(dirname(file), (node.moduleSpecifier as ts.StringLiteral).text).replace(/\.js$/, ".ts");
    const names = (node.exportClause as ts.NamedExports).elements.filter((one) => !one.isTypeOnly);
    return names.map(({ name: { text } }) => ({ name: text, file: from, node: declared(from).get(text)! }));
  });
  return [...own, ...on].filter(({ node }) => !node || tags(node, "internal").length === 0);
}

function tags(node: ts.Node, name: string): string[] {
  return ts
    .getJSDocTags(node)
    .filter(({ tagName }) => tagName.text === name)
    .map(({ comment }) => ts.getTextOfJSDocComment(comment) ?? "");
}

const everything = entries.flatMap((file) => handedOut(file));
const functions = everything.filter(({ node }) => node && ts.isFunctionDeclaration(node));

/** The code of an example. */
function codeOf(example: string): string {
  return /^```ts\n(.*?)\n```/s.exec(example.trim())?.[1] ?? "";
}

const exemplified = everything.filter(({ node }) => node && tags(node, "example").length > 0);
const examples = exemplified.map(({ name, node }) => ({ name, code: codeOf(tags(node, "example")[0]) }));

test("every function stands under a category of the list, and every category has something in it", () => {
  expect(functions.length).toBeGreaterThan(50);
  const under = everything
    .filter(({ node }) => node)
    .map(({ name, node }) => [name, tags(node, "category")] as const);
  expect(under.filter(([, own]) => own.length !== 1 || !categories.includes(own[0]))).toEqual([]);
  const used = new Set([...under.map(([, [own]]) => own), pages.defaultCategory]);
  expect(categories.filter((one) => !used.has(one))).toEqual([]);
});

test("every function has an example of 1 to 8 lines that says what it gives or writes", () => {
  const without = functions.filter(({ node }) => tags(node, "example").length !== 1);
  expect(without.map(({ name }) => name)).toEqual([]);
  expect(examples.filter(({ code }) => code === "" || code.split("\n").length > 10)).toEqual([]);
  expect(examples.filter(({ code }) => !/; \/\/ |console\.log|writeFileSync/.test(code))).toEqual([]);
});

/** What the entries hand out, and what the examples say that they go on from. */
const known = [...new Set(everything.map(({ name }) => name))];
const given = `
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
${entries
  .filter((file) => handedOut(file).length > 0)
  .map(
    (file) =>
      `import * as from${entries.indexOf(file)} from "../${file.replace(/^src/, "dist").replace(/ts$/, "js")}";`,
  )
  .join("\n")}
import type { Design, Kind, Resolved } from "../dist/index.js";
declare const text: string, design: Design, run: import("../dist/index.js").Run, board: typeof run;
`;

test("the examples compile as they are copied", () => {
  const from = (name: string) =>
    entries.findIndex((file) => handedOut(file).some((one) => one.name === name));
  const names = known.map((name) => `const ${name} = from${from(name)}.${name};`).join("\n");
  const file = join(root, "out", "examples.ts");
  const body = examples.map(({ name, code }) => `// ${name}\n(async () => {\n${code}\n});`).join("\n");
  const whole = `${given}${names}\n${body}\n`;
  const options: ts.CompilerOptions = {
    target: ts.ScriptTarget.ES2023,
    module: ts.ModuleKind.NodeNext,
    strict: true,
    noEmit: true,
    skipLibCheck: true,
    types: ["node"],
  };
  const host = ts.createCompilerHost(options);
  const { getSourceFile, fileExists } = host;
  host.fileExists = (name) => name === file || fileExists(name);
  host.getSourceFile = (name, ...more) =>
    name === file ? ts.createSourceFile(name, whole, ts.ScriptTarget.ES2023) : getSourceFile(name, ...more);
  const found = ts.getPreEmitDiagnostics(ts.createProgram([file], options, host));
  const lines = whole.split("\n");
  expect(
    found.map((one) => {
      const at = one.file?.getLineAndCharacterOfPosition(one.start ?? 0).line ?? 0;
      return `${ts.flattenDiagnosticMessageText(one.messageText, " ")}: ${lines[at]}`;
    }),
  ).toEqual([]);
}, 120_000);

/** An example with every line that says what it gives made an expectation. */
function asked(code: string): string {
  const lines = code.split("\n").map((line) => {
    const [, expression, gives] = /^\s*(\S.*); \/\/ (.*)$/.exec(line) ?? [];
    return expression === undefined ? line : `gives(${expression}, () => (${gives}));`;
  });
  return `return ${transformSync(`(async () => {\n${lines.join("\n")}\n})()`, { loader: "ts" }).code}`;
}

describe("run", () => {
  const scope = new Map<string, unknown>();
  const left: [string, string][] = [];

  beforeAll(async () => {
    const entry = { report: "schematic/reporting", node: "command/designs", testing: "testing/testing" };
    for (const file of entries) {
      const path = file.replace(/^src\/|\.ts$/g, "");
      const [name] = Object.entries(entry).find(([, from]) => from === path) ?? ["index"];
      if (handedOut(file).length > 0)
        for (const [word, what] of Object.entries(await import(join(root, "dist", `${name}.js`))))
          scope.set(word, what);
    }
    const { compile, simulate, readDesign } = Object.fromEntries(scope) as Record<
      string,
      (one: unknown) => unknown
    >;
    const read = (name: string) => readFileSync(join(root, name));
    scope.set("text", `${read("examples/line.ramp")}`);
    scope.set("design", compile(scope.get("text")));
    // Several examples go on from the table of symptoms, which takes its time: they share that of the design.
    const { symptoms } = Object.fromEntries(scope) as Record<string, (one: unknown) => unknown>;
    let table: unknown;
    scope.set("symptoms", (one: unknown) => {
      if (one !== scope.get("design")) return symptoms(one);
      table ??= symptoms(one);
      return table;
    });
    scope.set("run", simulate(scope.get("design")));
    scope.set("board", simulate(readDesign(join(root, "examples/board.ramp"))));
    scope.set("readFileSync", (name: string, how?: "utf8") => readFileSync(join(root, name), how));
    scope.set("writeFileSync", (name: string, data: string | Uint8Array) => left.push([name, begin(data)]));
    scope.set("createHash", createHash);
    scope.set("console", { log: (words: unknown) => left.push(["console", String(words)]) });
  });

  test.each(examples)("$name", async ({ code }) => {
    let told = 0;
    left.length = 0;
    const gives = (found: unknown, wanted: () => unknown) => {
      told++;
      // Arrays of numbers and objects of a class are told as they are shown.
      expect(shown(found, { depth: 6 })).toBe(shown(wanted(), { depth: 6 }));
    };
    const names = [...scope.keys(), "gives"];
    const body = new Function(...names, asked(code));
    await body(...scope.values(), gives);
    expect(told + left.length).toBeGreaterThan(0);
    for (const [name, head] of left)
      expect(head).toMatch(
        name.endsWith(".png")
          ? /^.PNG/
          : name.endsWith(".svg")
            ? /^<svg /
            : name.endsWith(".html")
              ? /^<!doctype html>/i
              : /\S/,
      );
  });
});

/** The first signs of what is written. */
function begin(data: string | Uint8Array): string {
  return typeof data === "string" ? data.slice(0, 40) : String.fromCharCode(...data.slice(0, 4));
}
