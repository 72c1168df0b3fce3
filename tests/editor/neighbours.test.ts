// What an editor gets where a design has neighbours: the paths that may stand in its quotes, captures read and compared while it is
// written, and names that stand in files which no editor has open.
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { CompletionItem, Location, TextEdit, WorkspaceEdit } from "vscode-languageserver-protocol";
import { compile } from "../../src/compile.js";
import { root } from "../command/running.js";
import { applied, type Editor, positionOf, start, within } from "./client.js";

const block = "block half joins in, out\n  given size = 1 kohm\n  resistor a in -> out size\nend\n";
const plain = "supply plus5 = 5 V\nresistor load plus5 -> ground 1 kohm\n";
const using = `bring "blocks/half.ramp"\n${plain}use half as low joins plus5, mid with size 2 kohm\nresistor foot mid -> ground 1 kohm\n`;
const through = `bring "middle.ramp"\n${plain}use half as up joins plus5, mid with size 3 kohm\nresistor foot mid -> ground 1 kohm\n`;
const texts: Readonly<Record<string, string>> = {
  "main.ramp": using,
  "second.ramp": using.replace("2 kohm", "4 kohm"),
  "middle.ramp": 'bring "blocks/half.ramp"\n',
  "third.ramp": through,
  // It has words of the same name, which are others.
  "apart.ramp": "given size = 1 kohm\nsupply plus5 = 5 V\nresistor a plus5 -> ground size\n",
  "blocks/half.ramp": block,
  ".hidden/secret.ramp": plain,
  "node_modules/other/theirs.ramp": plain,
};

let editor: Editor;
let folder: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "rampwright-editor-"));
  for (const [name, text] of Object.entries(texts)) {
    mkdirSync(join(folder, name, ".."), { recursive: true });
    writeFileSync(join(folder, name), text);
  }
  cpSync(join(root, "examples/captures/good.csv"), join(folder, "bench/good.csv"));
  cpSync(join(root, "examples/screen.png"), join(folder, "robin.png"));
  symlinkSync(tmpdir(), join(folder, "outside"));
  editor = await start({ folder });
});

afterAll(async () => {
  expect(editor.log).toEqual([]);
  expect(await editor.end()).toBe(0);
  rmSync(folder, { recursive: true, force: true });
});

const uriOf = (name: string) => pathToFileURL(join(folder, name)).href;
const ask = <T>(uri: string, method: string, more: object): Promise<T> =>
  editor.connection.sendRequest(`textDocument/${method}`, { textDocument: { uri }, ...more });

/** What is offered at the end of a text, and what stands there after the first is taken. */
async function offered(typed: string): Promise<string[]> {
  const uri = uriOf("typed.ramp");
  void editor.open(uri, typed);
  const lines = typed.split("\n");
  const position = { line: lines.length - 1, character: lines.at(-1)!.length };
  const items = await ask<CompletionItem[]>(uri, "completion", { position });
  for (const { textEdit, label } of items)
    expect(applied(typed, [textEdit as TextEdit])).toBe(typed.slice(0, typed.lastIndexOf('"') + 1) + label);
  editor.close(uri);
  return items.map(({ label }) => label);
}

const held = 'capture "bench/good.csv" of ramp\n';

test.each<[string, readonly string[]]>([
  ['bring "', ["main.ramp", "blocks/half.ramp", "shipped/sweep"]],
  ['bring "blo', ["blocks/half.ramp"]],
  ['capture "', ["bench/good.csv"]],
  ['signal s = capture "', ["bench/good.csv"]],
  ['signal s = video of 625/50, picture "', ["robin.png"]],
  [`${held}check "c" peak of ramp below 5 V in capture "`, ["bench/good.csv"]],
])("behind '%s' stand the files that fit", async (typed, wanted) => {
  const found = await offered(typed);
  expect(found).toEqual(expect.arrayContaining([...wanted]));
  const sort = typed.includes("bring")
    ? /^shipped\/|\.ramp$/
    : typed.includes("picture")
      ? /\.png$/
      : /\.csv$/;
  expect(found.filter((one) => !sort.test(one))).toEqual([]);
  // Itself, what is hidden or installed, and what lies outside are none of them.
  expect(found.filter((one) => /typed|secret|theirs|outside/.test(one))).toEqual([]);
});

test("a check names a capture that its text holds, and no other file", async () => {
  expect(await offered('check "c" peak of ramp below 5 V in capture "')).toEqual([]);
});

test("a capture is read where a design holds it, and what is wrong with it is told where it is named", async () => {
  const uri = uriOf("bench.ramp");
  const line = readFileSync(join(root, "examples/line.ramp"), "utf8").replace(/^find.*$/m, "");
  const text = line.replace("run for", `${held}run for`);
  expect(await editor.open(uri, text)).toEqual([]);
  const [missing] = await editor.change(uri, text.replace("good.csv", "none.csv"));
  expect(missing.code).toBe("unknown-capture");
  // A file that has changed since is read anew.
  expect(await editor.change(uri, text)).toEqual([]);
  writeFileSync(join(folder, "bench/good.csv"), "Time (s),CH1 (V)\n0,none\n");
  expect((await editor.change(uri, `${text}\n`)).map(({ code }) => code)).toContain("no-samples-found");
  cpSync(join(root, "examples/captures/good.csv"), join(folder, "bench/good.csv"));
  editor.close(uri);
});

test("a name is renamed where captures and readings speak of it", async () => {
  const uri = uriOf("bench.ramp");
  const line = readFileSync(join(root, "examples/line.ramp"), "utf8");
  const text = line.replace("run for", `${held}reading "peak of ramp each gate" 3.97 V\nrun for`);
  expect(await editor.open(uri, text)).toEqual([]);
  for (const word of ["ramp", "gate"]) {
    const position = positionOf(text, word === "ramp" ? "ramp -> ground" : "gate = ", 1);
    const { changes } = await ask<WorkspaceEdit>(uri, "rename", { position, newName: "renamed" });
    const after = applied(text, changes![uri]);
    expect(after).toContain(
      `reading "peak of ${word === "ramp" ? "renamed each gate" : "ramp each renamed"}"`,
    );
    expect(after).toContain(`of ${word === "ramp" ? "renamed" : "ramp"}\n`);
  }
  editor.close(uri);
});

test("a name in a text that closed files bring is renamed in all of them, and nowhere else", async () => {
  const uri = uriOf("blocks/half.ramp");
  expect(await editor.open(uri, block)).toEqual([]);
  const at = { position: positionOf(block, "size", 1) };
  const found = await ask<Location[]>(uri, "references", { ...at, context: { includeDeclaration: true } });
  const places = new Map<string, number>();
  for (const one of found) {
    const name = Object.keys(texts).find((file) => uriOf(file) === one.uri)!;
    expect(within(texts[name], one.range)).toBe("size");
    places.set(name, (places.get(name) ?? 0) + 1);
  }
  const wanted = { "blocks/half.ramp": 2, "main.ramp": 1, "second.ramp": 1, "third.ramp": 1 };
  expect(Object.fromEntries(places)).toEqual(wanted);
  const { changes } = await ask<WorkspaceEdit>(uri, "rename", { ...at, newName: "ohms" });
  expect(Object.keys(changes!).sort()).toEqual(Object.keys(wanted).map(uriOf).sort());
  const after = new Map(
    Object.entries(texts).map(([name, text]) => [name, applied(text, changes![uriOf(name)] ?? [])]),
  );
  expect(after.get("blocks/half.ramp")).toBe(block.replaceAll("size", "ohms"));
  // Every design is what it was.
  const values = (name: string, resolve: (path: string) => string | undefined) =>
    compile(resolve(name)!, { resolve }).parts.map(
      (part) => `${part.name} ${part.value?.value.toFraction()}`,
    );
  for (const name of ["main.ramp", "second.ramp", "third.ramp"])
    expect(values(name, (path) => after.get(path))).toEqual(values(name, (path) => texts[path]));
  editor.close(uri);
});

test("a block gets no name that another has in a closed file that brings it", async () => {
  const uri = uriOf("blocks/half.ramp");
  writeFileSync(
    join(folder, "second.ramp"),
    `block third joins x\n  resistor r x -> ground 1 ohm\nend\n${using}`,
  );
  await editor.open(uri, block);
  const position = positionOf(block, "half", 1);
  await expect(ask(uri, "rename", { position, newName: "third" })).rejects.toThrow(/name of a block already/);
  const { changes } = await ask<WorkspaceEdit>(uri, "rename", { position, newName: "fourth" });
  expect(Object.keys(changes!)).toHaveLength(4);
  writeFileSync(join(folder, "second.ramp"), texts["second.ramp"]);
  editor.close(uri);
});
