// What an editor gets from the language server, by its protocol: mistakes with their mends, completion, hover, names, outline,
// layout, colours. The text is that of the examples; what is expected of it is read off its lines.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import type {
  CodeAction,
  CompletionItem,
  DocumentSymbol,
  Hover,
  Location,
  Range,
  TextEdit,
  WorkspaceEdit,
} from "vscode-languageserver-protocol";
import { compile } from "../../src/compile.js";
import { offered as offeredInPage } from "../../src/live/offering.js";
import { measures } from "../../src/measures/measures.js";
import { kinds } from "../../src/parts/kinds.js";
import { format } from "../../src/syntax/layout.js";
import { root } from "../command/running.js";
import { applied, type Editor, exampleUri, positionOf, start, within } from "./client.js";

const uri = exampleUri("line.ramp");
const text = readFileSync(join(root, "examples/line.ramp"), "utf8");
let editor: Editor;

beforeAll(async () => {
  editor = await start();
  await editor.open(uri, text);
});

afterAll(async () => {
  expect(editor.log).toEqual([]);
  expect(await editor.end()).toBe(0);
});

const ask = <T>(method: string, more: object): Promise<T> =>
  editor.connection.sendRequest(`textDocument/${method}`, { textDocument: { uri }, ...more });

test("a sound text has nothing wrong, a mistake has its place and its mend, and the mend mends it", async () => {
  expect(await editor.change(uri, text)).toEqual([]);
  const broken = text.replace("capacitor hold", "capacitr  hold");
  const [found, ...more] = await editor.change(uri, broken);
  expect(more).toEqual([]);
  expect(found).toMatchObject({ code: "unknown-statement", severity: 1, source: "rampwright" });
  expect(within(broken, found.range)).toBe("capacitr");
  const [action] = await ask<CodeAction[]>("codeAction", {
    range: found.range,
    context: { diagnostics: [found] },
  });
  expect(action).toMatchObject({ kind: "quickfix", isPreferred: true });
  expect(applied(broken, action.edit!.changes![uri])).toBe(broken.replace("capacitr", "capacitor"));
  expect(await editor.change(uri, text)).toEqual([]);
});

test("a change in a range is taken as one, and a mistake of a name names the other place", async () => {
  const at = positionOf(text, "plus5  =");
  const [found] = await editor.change(uri, "plus12", {
    start: at,
    end: { ...at, character: at.character + 5 },
  });
  expect(found.code).toBe("name-twice");
  expect(within(text, found.relatedInformation![0].location.range)).toBe("plus12");
  await editor.change(uri, text);
});

/** What is offered behind a line that is being typed at the end of the text. */
async function offered(typed: string, whole = text): Promise<string[]> {
  const now = `${whole}\n${typed}`;
  void editor.change(uri, now);
  const lines = now.split("\n");
  const position = { line: lines.length - 1, character: lines.at(-1)!.length };
  const items = await ask<CompletionItem[]>("completion", { position });
  for (const { textEdit, label } of items) {
    const { range } = textEdit as TextEdit;
    // What is put in takes the place of what has been typed of it.
    expect(range.end).toEqual(position);
    expect(label.startsWith(within(now, range).slice(0, 1)) || within(now, range) !== "").toBe(true);
  }
  const labels = items.map(({ label }) => label);
  // The page that computes offers the same, though it has no server; files it has none either.
  const inFolder = items.filter(({ detail }) => detail?.endsWith("in the folder of the design"));
  expect(offeredInPage(now, position, { texts: {} }).map(({ label }) => label)).toEqual(
    labels.filter((label) => inFolder.every((item) => item.label !== label)),
  );
  return labels;
}

const places = ["ramp", "plus12", "plus5", "gate", "ground"];

test.each<[string, readonly string[], readonly string[]]>([
  ["", [...kinds.map(({ word }) => word), "given", "check"], ["end", "ramp", "of"]],
  ["block b joins x\n  res", ["resistor", "end"], ["ramp"]],
  ["resistor r ", places, ["resistor", "timing"]],
  ["resistor r ramp -> ", places, ["timing"]],
  ["resistor r ramp -> ground ", ["timing", "charge", "rated", "tracks"], ["headroom", "closed"]],
  ["resistor r ramp -> ground 5 ", ["ohm", "kohm", "Ω"], ["V", "nF"]],
  ["current c plus12 -> ramp 1 mA, ", ["headroom", "output", "rated"], ["closed", "on", "timing"]],
  ["current c plus12 -> ramp 1 mA,\n  head", ["headroom"], ["closed"]],
  ["current c plus12 -> ramp 1 mA, headroom 0.9 ", ["V", "mV"], ["A", "rms", "timing"]],
  ["resistor r ramp -> ground 5 ohm, rated 1 W ", ["mean", "peak", "rms", "reverse"], ["ramp"]],
  ["switch s ramp -> ground closed ", ["while", "from", "after", "before"], ["ramp"]],
  ["switch s ramp -> ground closed while ", places, ["timing"]],
  ["switch s ramp -> ground closed while gate ", ["above", "below"], ["ramp"]],
  ["potentiometer p a -> b 1 kohm, tap ", places, ["while", "timing"]],
  ["given g = ", ["timing", "charge", "gate"], ["ramp", "pulse"]],
  ["given g = 5 nF +- 5 %, ", ["spread", "drift", "tracks"], ["rated"]],
  ["given g = 5 nF +- 5 %, spread ", ["uniform", "normal", "sorted"], ["timing"]],
  ["signal s = ", ["pulse", "sine", "path", "noise", "video", "line", "field", "composite"], ["timing"]],
  ["signal s = line sync of ", ["625/50", "525/59.94"], []],
  ["signal s = line sync of 625/50, 0 V to 5 V, ", ["edges", "starts", "stops"], ["wide"]],
  ["signal s = video of 625/50, ", ["crosshatch", "colour bars"], ["edges"]],
  ["signal s = video of 625/50, crosshatch, ", ["across", "circle", "progressive"], ["crosshatch", "wide"]],
  ['check "x" ', measures.map(({ words }) => words), ["ramp", "of"]],
  ['check "x" sweep er', ["sweep error"], ["peak", "displacement error"]],
  ['check "x" peak of ', [...places, "feed"], ["timing"]],
  ['check "x" peak of feed.', ["current", "voltage", "power", "headroom"], ["ramp"]],
  ['check "x" peak of ramp ', ["each", "is", "below", "between", "after"], ["ramp"]],
  ['check "x" peak of ramp each ', ["gate"], ["timing"]],
  ['check "x" peak of ramp after gate.', ["line", "period"], ["current"]],
  ['check "x" peak of ramp below 5 V in ', ["case", "every"], ["ramp"]],
  ['check "x" peak of ramp below 5 V in case "', ["camera unplugged", "switch stuck"], []],
  ['case "y" ', ["timing", "gate", "reset"], ["above"]],
  ['case "y" gate ', ["stops", "starts", "is", "dead"], ["ramp"]],
  ["find ", ["timing", "hold"], ["ramp"]],
  ["find timing from 1 nF to 3 nF in ", ["E12", "E24"], []],
  ['find timing from 1 nF to 3 nF for "', ["fills the tube", "guard holds"], []],
  ["run for 5 ms, from ", ["rest", "settled", "steady"], []],
  ['bring "', ["shipped/sweep", "shipped/separator"], []],
  ['title "', [], ["ramp"]],
  ["# a comment ", [], ["ramp", "resistor"]],
])("behind '%s' fits what the parser takes there", async (typed, wanted, unwanted) => {
  const found = await offered(typed);
  expect(found).toEqual(expect.arrayContaining([...wanted]));
  expect(found.filter((one) => unwanted.includes(one))).toEqual([]);
  expect(new Set(found).size).toBe(found.length);
});

test("blocks are offered with what they take", async () => {
  const brought = 'bring "shipped/sweep"\n';
  expect(await offered("use ", brought)).toContain("sweep");
  expect(await offered("use sweep as s joins a ", brought)).toContain("with");
  const given = await offered("use sweep as s joins a, b, c, d, e, f, g with ", brought);
  expect(given).toEqual(expect.arrayContaining(["charge", "timing"]));
});

test.each<[string, number, readonly (string | RegExp)[]]>([
  // 5 % of 15 nF either way.
  ["timing", 0, ["given timing = 15 nF +- 5 %", "15 nF, 14.25 nF to 15.75 nF: a capacitance"]],
  ["hold  ramp", 0, ["capacitor hold ramp -> ground timing", "15 nF, 14.25 nF to 15.75 nF"]],
  ["headroom", 0, ["takes a voltage, zero or more", "here 900 mV: a voltage"]],
  ["capacitor hold", 0, ["takes a capacitance"]],
  ["sweep error", 0, ["sweep error"]],
  ["nF", 0, ["a capacitance"]],
  ["ramp timing", -8, ["place ramp", "`hold`"]],
  ["gate above", 0, ["signal gate", "line sync of 625/50"]],
  ["edges", 0, ["10-90 % time of its edges", "takes a time, zero or more"]],
])("hovering over '%s' tells its value, range and unit", async (words, _, wanted) => {
  await editor.change(uri, text);
  const at =
    words === "ramp timing" ? positionOf(text, "ramp -> ground timing", 1) : positionOf(text, words, 1);
  const { contents, range } = await ask<Hover>("hover", { position: at });
  const { value } = contents as { value: string };
  for (const one of wanted) expect(value).toMatch(one instanceof RegExp ? one : new RegExp(escaped(one)));
  expect(within(text, range!)).not.toBe("");
});

const escaped = (words: string) => words.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");

test("a name leads to where it is given, and to every place where it stands", async () => {
  const position = positionOf(text, "gate above", 2);
  const definition = await ask<Location>("definition", { position });
  expect(definition).toMatchObject({ uri, range: { start: positionOf(text, "gate = ") } });
  const wanted = [...text.matchAll(/^(?!#).*?\bgate\b/gm)].length;
  const found = await ask<Location[]>("references", { position, context: { includeDeclaration: true } });
  expect(found).toHaveLength(wanted);
  for (const { range } of found) expect(within(text, range)).toBe("gate");
  const others = await ask<Location[]>("references", { position, context: { includeDeclaration: false } });
  expect(others).toHaveLength(wanted - 1);
  expect(await ask<unknown[]>("documentHighlight", { position })).toHaveLength(wanted);
  // A check is found from the goal that names it.
  const goal = await ask<Location>("definition", { position: positionOf(text, '"fills the tube"', 3, 1) });
  expect(goal.range.start).toEqual(positionOf(text, '"fills the tube"'));
});

test("a new name is written everywhere, and the design stays what it was", async () => {
  const position = positionOf(text, "timing", 2);
  const range = await ask<Range>("prepareRename", { position });
  expect(within(text, range)).toBe("timing");
  const { changes } = await ask<WorkspaceEdit>("rename", { position, newName: "cap" });
  const renamed = applied(text, changes![uri]);
  expect(renamed).toBe(text.replace(/\btiming\b/g, "cap"));
  const [before, after] = [compile(text), compile(renamed)];
  expect(after.parts.map((p) => [p.name, p.value?.value.n, p.value?.value.d])).toEqual(
    before.parts.map((p) => [p.name, p.value?.value.n, p.value?.value.d]),
  );
  const check = await ask<WorkspaceEdit>("rename", {
    position: positionOf(text, "fills the tube", 3),
    newName: "tall enough",
  });
  expect(applied(text, check.changes![uri])).toBe(text.replaceAll("fills the tube", "tall enough"));
});

test.each([
  ["timing", "charge", /name of a value already/],
  ["timing", "ground", /name of a place already/],
  ["ramp each", "plus5", /name of a supply already/],
  ["timing", "4K7", /is no name/],
  ["fills the tube", 'a "quote"', /quotes stand in none/],
  ["sweep error", "x", /no name stands here/],
])("'%s' is not renamed to '%s'", async (words, newName, why) => {
  const position = positionOf(text, words, 1);
  await expect(ask("rename", { position, newName })).rejects.toThrow(why);
});

test("nothing is renamed while a statement that names it cannot be read", async () => {
  await editor.change(uri, `${text}resistor odd ramp -> -> timing\n`);
  await expect(ask("rename", { position: positionOf(text, "timing", 1), newName: "cap" })).rejects.toThrow(
    /cannot be read/,
  );
  await editor.change(uri, text);
});

test("the outline holds what the text gives names to, checks below their cases", async () => {
  const found = await ask<DocumentSymbol[]>("documentSymbol", {});
  const own = found.map(({ name }) => name);
  expect(own).toEqual(expect.arrayContaining(["timing", "plus12", "gate", "feed", "fills the tube"]));
  expect(found.find(({ name }) => name === "switch stuck")?.children?.map(({ name }) => name)).toEqual([
    "feed bears it",
    "feed stays cool",
  ]);
  const inside = ({ range, selectionRange, children = [] }: DocumentSymbol) => {
    expect(range.start.line).toBeLessThanOrEqual(selectionRange.start.line);
    expect(range.end.line).toBeGreaterThanOrEqual(selectionRange.end.line);
    for (const one of children) inside(one);
  };
  for (const one of found) inside(one);
});

test("it is laid out as the command lays it out; what has mistakes is left alone", async () => {
  const options = { options: { tabSize: 2, insertSpaces: true } };
  const canonical = format(text).text!;
  await editor.change(uri, canonical);
  expect(await ask("formatting", options)).toEqual([]);
  const crooked = text.replace("given timing = 15 nF", "given   timing=15nF");
  await editor.change(uri, crooked);
  expect(applied(crooked, await ask<TextEdit[]>("formatting", options))).toBe(canonical);
  await editor.change(uri, crooked.replace("->", ""));
  expect(await ask("formatting", options)).toEqual([]);
  await editor.change(uri, text);
});

// "Server lifecycle" of the Language Server Protocol, 3.17: a request before the first or after the last one is an error.
test("what is asked before its time, or of a text that is not open, is answered all the same", async () => {
  const hover = { textDocument: { uri }, position: { line: 9, character: 8 } };
  const other = await start({
    before: (connection) =>
      expect(connection.sendRequest("textDocument/hover", hover)).rejects.toMatchObject({ code: -32002 }),
  });
  for (const method of ["didChange", "didClose", "didSave"])
    await other.connection.sendNotification(`textDocument/${method}`, {
      textDocument: { uri, version: 3 },
      contentChanges: [{ text: "resistor" }],
    });
  expect(await other.connection.sendRequest("textDocument/hover", hover)).toBeNull();
  expect(await other.open(uri, text)).toEqual([]);
  expect(await other.connection.sendRequest("textDocument/hover", hover)).not.toBeNull();
  await other.connection.sendRequest("shutdown");
  await expect(other.connection.sendRequest("textDocument/hover", hover)).rejects.toMatchObject({
    code: -32600,
  });
  expect(await other.end()).toBe(0);
});
