// The language server on every text of the examples, whole and cut off in the middle of typing; texts that bring others; letters beyond
// the first plane, line ends of every sort, a byte-order mark.
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, expect, test } from "vitest";
import type {
  CompletionItem,
  DocumentSymbol,
  Hover,
  Location,
  Position,
  SemanticTokens,
  TextEdit,
  WorkspaceEdit,
} from "vscode-languageserver-protocol";
import { inspect } from "../../src/compile.js";
import { legend } from "../../src/editor/colours.js";
import { split } from "../../src/syntax/lines.js";
import { CommentToken, keywords, Numeral, Text, tokenize } from "../../src/syntax/tokens.js";
import { root } from "../command/running.js";
import { applied, type Editor, exampleUri, positionOf, start, within } from "./client.js";

const names = ["", "blocks/"].flatMap((folder) =>
  readdirSync(join(root, "examples", folder))
    .filter((name) => name.endsWith(".ramp"))
    .map((name) => folder + name),
);
let editor: Editor;

beforeAll(async () => {
  editor = await start();
});

afterAll(async () => {
  expect(editor.log).toEqual([]);
  expect(await editor.end()).toBe(0);
});

const ask = <T>(uri: string, method: string, more: object = {}): Promise<T> =>
  editor.connection.sendRequest(`textDocument/${method}`, { textDocument: { uri }, ...more });

/** Semantic tokens with their places. */
function unpacked({
  data,
}: SemanticTokens): { at: Position; length: number; colour: string; given: boolean }[] {
  let [line, character] = [0, 0];
  return Array.from({ length: data.length / 5 }, (_, i) => {
    const [down, along, length, type, modifiers] = data.slice(5 * i, 5 * i + 5);
    line += down;
    character = down === 0 ? character + along : along;
    return { at: { line, character }, length, colour: legend.tokenTypes[type], given: (modifiers & 1) === 1 };
  });
}

test.each(names)("%s: nothing is wrong, and every token has the colour of what it is", async (name) => {
  const uri = exampleUri(name);
  const text = readFileSync(join(root, "examples", name), "utf8");
  expect(await editor.open(uri, text)).toEqual([]);
  const found = unpacked(await ask<SemanticTokens>(uri, "semanticTokens/full"));
  const colourAt = new Map(found.map(({ at, colour }) => [`${at.line}:${at.character}`, colour]));
  let after = { line: 0, character: 0 };
  for (const { at, length } of found) {
    expect(at.line > after.line || at.character >= after.character).toBe(true);
    after = { ...at, character: at.character + length };
  }
  for (const [line, source] of split(text).entries())
    for (const { tokenType, startOffset, image } of tokenize(source)) {
      const colour = colourAt.get(`${line}:${startOffset}`);
      if (tokenType === CommentToken) expect(colour).toBe("comment");
      else if (tokenType === Text) expect(colour).toBe("string");
      // A place may be called `2nd`.
      else if (tokenType === Numeral) expect(["number", "parameter", "struct"]).toContain(colour);
      else if ((keywords as readonly string[]).includes(image)) expect(colour, image).toBeDefined();
    }
  editor.close(uri);
});

test.each(names)("%s: every name leads back to where it is given, and can have another one", async (name) => {
  const uri = exampleUri(name);
  const text = readFileSync(join(root, "examples", name), "utf8");
  void editor.open(uri, text);
  const tokens = unpacked(await ask<SemanticTokens>(uri, "semanticTokens/full"));
  const sorts = ["variable", "event", "struct", "namespace", "parameter", "class"];
  const given = tokens.filter((one) => one.given && sorts.includes(one.colour));
  expect(given.length).toBeGreaterThan(3);
  const errors = (whole: string) =>
    inspect(whole).diagnostics.filter(({ severity }) => severity === "error").length;
  for (const one of given) {
    const { at, length } = one;
    const range = { start: at, end: { ...at, character: at.character + length } };
    const context = { includeDeclaration: true };
    const all = await ask<Location[]>(uri, "references", { position: at, context });
    const here = all.filter((found) => found.uri === uri);
    expect(here.map((found) => found.range)).toContainEqual(range);
    for (const found of here) {
      expect(within(text, found.range)).toBe(within(text, range));
      const back = await ask<Location>(uri, "definition", { position: found.range.start });
      expect(back).toEqual({ uri, range });
    }
    // Each new name is tried by compiling the design anew: of a long text every eighth is.
    if (name.startsWith("blocks/") || (text.length > 3000 && given.indexOf(one) % 8 > 0)) continue;
    const { changes } = await ask<WorkspaceEdit>(uri, "rename", { position: at, newName: "renamed_to_this" });
    expect(changes![uri]).toHaveLength(here.length);
    expect(errors(applied(text, changes![uri]))).toBe(errors(text));
  }
  editor.close(uri);
});

test("whatever has been typed so far, everything is answered", async () => {
  const uri = exampleUri("typed.ramp");
  const text = readFileSync(join(root, "examples/line.ramp"), "utf8").replace(/^#.*\n/gm, "");
  void editor.open(uri, "");
  const options = { tabSize: 2, insertSpaces: true };
  for (let at = 1; at < text.length; at += 31) {
    // Behind what is typed stands the rest, from the next line on, or nothing.
    const now = at % 2 === 0 ? text.slice(0, at) : text.slice(0, at) + text.slice(text.indexOf("\n", at));
    void editor.change(uri, now);
    const lines = text.slice(0, at).split("\n");
    const position = { line: lines.length - 1, character: lines.at(-1)!.length };
    expect(Array.isArray(await ask<CompletionItem[]>(uri, "completion", { position }))).toBe(true);
    await ask<Hover | null>(uri, "hover", { position });
    await ask(uri, "definition", { position });
    await ask(uri, "references", { position, context: { includeDeclaration: true } });
    await ask(uri, "prepareRename", { position });
    await ask(uri, "rename", { position, newName: "other" }).catch(({ message }) =>
      expect(message).toMatch(/name|read/),
    );
    expect((await ask<DocumentSymbol[]>(uri, "documentSymbol")).length).toBeGreaterThanOrEqual(0);
    await ask(uri, "formatting", { options });
    await ask(uri, "codeAction", { range: { start: position, end: position }, context: { diagnostics: [] } });
    unpacked(await ask<SemanticTokens>(uri, "semanticTokens/full"));
  }
  editor.close(uri);
});

test.each<[string, string, Position]>([
  ["a text that is not open", "untitled:none", { line: 0, character: 0 }],
  ["a place beyond the text", "untitled:small", { line: 900, character: 4000 }],
  ["a text with no end to its brackets", "untitled:deep", { line: 0, character: 4000 }],
  ["control characters and halves of pairs", "untitled:odd", { line: 0, character: 3 }],
])("%s is answered with nothing, or little", async (_, uri, position) => {
  const texts: Record<string, string> = {
    "untitled:small": "given a = 1 V",
    "untitled:deep": `given a = ${"(".repeat(5000)}`,
    "untitled:odd": '\u0000\ud800\u202e given = \udc00"',
  };
  if (Object.hasOwn(texts, uri)) void editor.open(uri, texts[uri]);
  for (const method of ["completion", "hover", "definition", "prepareRename"])
    await ask(uri, method, { position });
  await ask(uri, "references", { position, context: { includeDeclaration: true } });
  for (const method of ["documentSymbol", "semanticTokens/full"]) await ask(uri, method);
  if (Object.hasOwn(texts, uri)) editor.close(uri);
});

// Gothic ahsa (U+10330) is two code units, a letter and so part of a name; the micro sign is one.
const wide =
  'title "𐌰𐌰"\r\nsupply 𐌰v = 5 V\rresistor r 𐌰v -> ground 5 kohm # 𐌰\r\nsignal s = line sync of 625/50, 0 V to 𐌰v\n';

test("places count in UTF-16 code units, whatever ends the lines, with a byte-order mark or without", async () => {
  for (const mark of ["", "\ufeff"]) {
    const uri = `untitled:wide${mark.length}`;
    const text = mark + wide;
    void editor.open(uri, text);
    const position = positionOf(text, "𐌰v ->", 3);
    const { range } = await ask<Location>(uri, "definition", { position });
    expect(within(text, range)).toBe("𐌰v");
    expect(range.start).toEqual({ line: 1, character: 7 });
    const title = unpacked(await ask<SemanticTokens>(uri, "semanticTokens/full"))[1];
    expect(title).toMatchObject({ at: { line: 0, character: 6 + mark.length }, length: 6, colour: "string" });
    editor.close(uri);
  }
});

test("a mend and the layout keep carriage returns", async () => {
  const uri = "untitled:returns";
  const broken = "supply plus5 = 5 V\r\nresistr load plus5 -> ground 1 kohm\r\n";
  const [found] = await editor.open(uri, broken);
  const context = { diagnostics: [found] };
  const [action] = await ask<{ edit: WorkspaceEdit }[]>(uri, "codeAction", { range: found.range, context });
  const mended = applied(broken, action.edit.changes![uri]);
  expect(mended).toBe(broken.replace("resistr", "resistor"));
  await editor.change(uri, mended.replace("= 5 V", "=5V"));
  const options = { tabSize: 2, insertSpaces: true };
  const edits = await ask<TextEdit[]>(uri, "formatting", { options });
  expect(edits[0].newText).toMatch(/= 5 V\r\n/);
  expect(edits[0].newText.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/);
  editor.close(uri);
});

test("what a file brings is known from its open text, and a name in it is followed and renamed in both", async () => {
  const folder = mkdtempSync(join(tmpdir(), "rampwright-editor-"));
  try {
    const block = "block half joins in, out\n  given size = 1 kohm\n  resistor a in -> out size\nend\n";
    writeFileSync(join(folder, "half.ramp"), block);
    const text = `bring "half.ramp"\nsupply plus5 = 5 V\nuse half as low joins plus5, mid with size 2 kohm\nresistor load mid -> ground 1 kohm\ncheck "c" mean of low.a.current below 5 mA\n`;
    writeFileSync(join(folder, "main.ramp"), text);
    const [uri, other] = ["main.ramp", "half.ramp"].map((name) => pathToFileURL(join(folder, name)).href);
    expect(await editor.open(uri, text)).toEqual([]);
    const size = { position: positionOf(text, "size 2", 1) };
    expect(await ask(uri, "definition", size)).toMatchObject({
      uri: other,
      range: { start: { line: 1, character: 8 } },
    });
    expect(await ask(uri, "definition", { position: positionOf(text, "half.ramp", 2) })).toMatchObject({
      uri: other,
    });
    const reached = await ask<Location>(uri, "definition", { position: positionOf(text, "low.a", 4) });
    expect(reached).toMatchObject({ uri: other, range: { start: { line: 2, character: 11 } } });
    const { changes } = await ask<WorkspaceEdit>(uri, "rename", { ...size, newName: "ohms" });
    expect(applied(text, changes![uri])).toBe(text.replace("size", "ohms"));
    expect(applied(block, changes![other])).toBe(block.replaceAll("size", "ohms"));
    // As it stands in the editor it has lost a place, whatever its file says.
    const shown = editor.open(other, block.replace("in, out", "in").replace("in -> out", "in -> in"));
    await shown;
    const [found] = await editor.change(uri, `${text}\n`);
    expect(found).toMatchObject({ code: "wrong-places" });
    expect(await editor.change(other, block)).toEqual([]);
    editor.close(other);
    // Nothing outside of the folder is looked at.
    const [outside] = await editor.change(uri, text.replace("half.ramp", "../half.ramp"));
    expect(outside.code).toBe("bring-missing");
    editor.close(uri);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});

test("a block that ships is shown as the file that it is, and keeps its names", async () => {
  const uri = exampleUri("board.ramp");
  const text = readFileSync(join(root, "examples/board.ramp"), "utf8");
  void editor.open(uri, text);
  const found = await ask<Location>(uri, "definition", { position: positionOf(text, "use sweep", 5) });
  expect(found.uri).toBe(exampleUri("blocks/sweep.ramp"));
  const file = readFileSync(join(root, "examples/blocks/sweep.ramp"), "utf8");
  expect(within(file, found.range)).toBe("sweep");
  const { contents } = await ask<Hover>(uri, "hover", { position: positionOf(text, "use sweep", 5) });
  expect((contents as { value: string }).value).toContain("block sweep joins");
  await expect(
    ask(uri, "rename", { position: positionOf(text, "use sweep", 5), newName: "other" }),
  ).rejects.toThrow(/ships with the package/);
  editor.close(uri);
});
