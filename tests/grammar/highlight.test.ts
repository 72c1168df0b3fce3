// The highlighting grammar with the engine that code editors use for it: the scope of each token against what our own lexer and parser
// take it for, over all examples.
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import oniguruma from "vscode-oniguruma";
import textmate, { type IGrammar } from "vscode-textmate";
import { highlighting } from "../../grammar/highlight.js";
import { measures } from "../../src/measures/measures.js";
import { kinds } from "../../src/parts/kinds.js";
import { split } from "../../src/syntax/lines.js";
import { read } from "../../src/syntax/read.js";
import {
  CommentToken,
  clauseWords,
  isName,
  keyword,
  Numeral,
  shapeWords,
  statementWords,
  Text,
  tokenize,
} from "../../src/syntax/tokens.js";
import type { Statement, Waveform } from "../../src/syntax/tree.js";
import { root } from "../command/running.js";

let grammar: IGrammar;

beforeAll(async () => {
  const wasm = createRequire(import.meta.url).resolve("vscode-oniguruma/release/onig.wasm");
  await oniguruma.loadWASM(readFileSync(wasm));
  const registry = new textmate.Registry({
    onigLib: Promise.resolve({
      createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
      createOnigString: (text) => new oniguruma.OnigString(text),
    }),
    loadGrammar: async () => textmate.parseRawGrammar(highlighting(), "ramp.json"),
  });
  grammar = (await registry.loadGrammar("source.ramp"))!;
});

/** The scopes of each character of each line, without that of the whole. */
function scopes(text: string): string[][] {
  let state = textmate.INITIAL;
  return split(text).map((line) => {
    const { tokens, ruleStack } = grammar.tokenizeLine(line, state);
    state = ruleStack;
    const found: string[] = Array(line.length).fill("");
    for (const { startIndex, endIndex, scopes } of tokens)
      found.fill(
        scopes
          .slice(1)
          .at(-1)
          ?.replace(/\.ramp$/, "") ?? "",
        startIndex,
        endIndex,
      );
    return found;
  });
}

/** One token as the lexer has it, with its scope at the beginning and at the end. */
interface Coloured {
  readonly image: string;
  readonly type: ReturnType<typeof tokenize>[number]["tokenType"];
  readonly first: boolean;
  readonly line: number;
  readonly at: number;
  readonly scope: string;
  readonly last: string;
}

function coloured(text: string): Coloured[] {
  const found = scopes(text);
  return split(text).flatMap((source, i) =>
    tokenize(source).map(({ image, tokenType, startOffset }, n) => ({
      image,
      type: tokenType,
      first: n === 0,
      line: i + 1,
      at: startOffset,
      scope: found[i][startOffset],
      last: found[i][startOffset + image.length - 1],
    })),
  );
}

/** Where the parser finds a waveform of sync or video: the places of these words. */
function waves(text: string): Set<string> {
  const found = new Set<string>();
  const wave = (w: Waveform | undefined) => {
    if (w?.type !== "sync" && w?.type !== "video") return;
    const line = split(text)[w.span.line - 1];
    found.add(`${w.span.line}:${line.indexOf(w.type, w.span.column - 1)}`);
  };
  const look = (statements: readonly Statement[]) => {
    for (const s of statements) {
      if (s.type === "signal" || s.type === "part") wave(s.wave);
      if (s.type === "case") for (const { wave: other } of s.changes) wave(other);
      if (s.type === "block") look(s.body);
    }
  };
  look(read(text).tree.statements);
  return found;
}

const words = (list: readonly string[], image: string) => list.includes(image);
const measureWords = new Set(measures.flatMap((one) => one.words.split(" ")));
const kindWords = kinds.map((one) => one.word);

const files = ["", "blocks/"].flatMap((folder) =>
  readdirSync(join(root, "examples", folder))
    .filter((name) => name.endsWith(".ramp"))
    .map((name) => folder + name),
);

describe.each(files)("%s", (name) => {
  const text = readFileSync(join(root, "examples", name), "utf8");

  test("every token has a scope of its kind", () => {
    const tokens = coloured(text);
    expect(tokens.length).toBeGreaterThan(20);
    for (const { image, type, scope, last, first, line } of tokens) {
      const where = `'${image}' in line ${line} is ${scope || "plain"}`;
      if (type === CommentToken)
        expect([scope, last], where).toEqual(Array(2).fill("comment.line.number-sign"));
      else if (type === Text) expect([scope, last], where).toEqual(Array(2).fill("string.quoted.double"));
      else if (type === Numeral) expect(scope, where).toBe("constant.numeric");
      else if (/^(->|→|\+\/?-|±|[-+*=])$/.test(image)) expect(scope, where).toBe("keyword.operator");
      // Between two units the stroke belongs to them.
      else if (image === "/")
        expect(["keyword.operator", "keyword.other.unit", "constant.numeric"], where).toContain(scope);
      else if (image === "%") expect(scope, where).toBe("keyword.other.unit");
      else if (/^[(),.]$/.test(image)) expect(scope, where).toBe("");
      else if (isName(type)) named(image, type, scope, first, where);
      else throw new Error(`no kind was thought of for ${where}`);
    }
  });

  function named(image: string, type: Coloured["type"], scope: string, first: boolean, where: string): void {
    const free = [
      "",
      "entity.name",
      "variable.other.property",
      "support.function.measure",
      "storage.type.other",
    ];
    if (first && words(statementWords, image)) expect(scope, where).toBe("keyword.control");
    else if (first && words(kindWords, image) && scope !== "variable.other.property")
      expect(scope, where).toBe("storage.type");
    else if (words(clauseWords, image))
      // They are free as names.
      expect(["keyword.other", "variable.other.property", "entity.name"], where).toContain(scope);
    else if (words(shapeWords, image)) expect(["support.function", ...free], where).toContain(scope);
    else if (scope === "support.function.measure") expect([...measureWords], where).toContain(image);
    else
      expect(
        [...free, "keyword.other.unit", "support.constant", "support.function", "keyword.other"],
        where,
      ).toContain(scope);
    expect(type).toBeDefined();
  }

  test("'sync' and 'video' are shapes where a waveform begins, and nowhere else", () => {
    const beginning = waves(text);
    for (const { image, type, scope, line, at } of coloured(text))
      if (type === keyword.sync || type === keyword.video)
        expect(scope === "support.function", `'${image}' in line ${line}`).toBe(
          beginning.has(`${line}:${at}`),
        );
  });
});

test.each([
  ["signal video = pulse 0 V to 5 V, wide 1 us", "video", ""],
  ["resistor sync video -> ground 1 kohm", "sync", "entity.name"],
  ['check "sync" peak of sync below 5 V', "sync below", ""],
  ["signal gate = line sync of 625/50, 0 V to 5 V", "sync", "support.function"],
  ['case "x" camera is video of 625/50, bars', "video", "support.function"],
  ['check "x" sweep error of ramp below 1 %', "sweep", "support.function.measure"],
  ["resistor peak peak -> of 1 kohm", "peak ->", ""],
  ["capacitor c a -> b 15 nF +- 5 %, esr 2 ohm", "15", "constant.numeric"],
  ["switch s a -> b closed while gate above 2 V, on 5 ohm", "closed", "variable.other.property"],
  ["switch s a -> b closed while gate above 2 V, on 5 ohm", "on 5", "variable.other.property"],
  ["diode Röhre ramp -> plus5 drop 0.6 V  # why", "Röhre", "entity.name"],
  ["given a = 4.7us", "us", "keyword.other.unit"],
  ['check "x" slope of a below 10 V/ms', "V/ms", "keyword.other.unit"],
])("%s", (line, at, scope) => {
  expect(scopes(line)[0][line.lastIndexOf(at)]).toBe(scope);
});
