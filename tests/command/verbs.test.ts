// Verbs as records: one that stands in this test alone gets help, completion, refusals, JSON and a row in README's table, and
// every verb that ships has what its record promises. The recipe "adding a verb" of DEVELOPERS.md is followed here.
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { optionsOf, splitWords, understood } from "../../src/command/commandline.js";
import { commandPage, helpOn, overview, verbTable } from "../../src/command/helptext.js";
import { anyText, choice, flag, names, needed, whole } from "../../src/command/option.js";
import { type Verb, type Verbs, verb } from "../../src/command/verb.js";
import { completionVerb } from "../../src/command/verbs/completion.js";
import { verbs } from "../../src/command/verbs.js";
import { DesignError } from "../../src/index.js";
import { root } from "./running.js";

/** The recipe's verb: counts the parts of a design, by kind where it is asked for. */
const countVerb = verb({
  word: "count",
  summary: "counts the parts of a design",
  operand: { name: "FILE", help: "a design" },
  options: {
    kind: anyText("KIND", "parts of this kind alone"),
    least: needed(whole("how many there must be", 1, 1000)),
    order: choice("ORDER", ["rising", "falling"], "how they are listed"),
    leave: names("parts that do not count"),
    quiet: flag("print nothing"),
  },
  example: "count line.ramp --least 3",
  statuses: { 0: "enough", 1: "too few" },
  run: ({ options }) => ({ parts: 4, least: options.least }),
  text: ({ parts }, { options }) => (options.quiet ? "" : `${parts} parts\n`),
  json: ({ parts }) => ({ parts }),
  status: ({ parts, least }) => (parts >= least! ? 0 : 1),
});

const added: Verbs = { ...verbs, count: async () => countVerb as Verb };
const all = await Promise.all(Object.values(added).map((one) => one()));
const count = all.at(-1)!;
const refusal = (words: readonly string[]) => {
  try {
    understood(words, count);
  } catch (error) {
    const [{ message, hint }] = (error as DesignError).diagnostics;
    return hint ? `${message} (${hint})` : message;
  }
  return "";
};

describe("a verb that is one record and one line gets", () => {
  it("help, with its options, example and statuses", () => {
    expect(overview(all)).toMatch(/^ {2}count +counts the parts of a design$/m);
    const help = helpOn(count);
    expect(help).toContain("Usage: rampwright count FILE --least N [options]");
    expect(help).toMatch(/--kind KIND +parts of this kind alone/);
    expect(help).toMatch(/--order ORDER +how they are listed \(rising, falling\)/);
    expect(help).toMatch(/--json +print one JSON object/);
    expect(help).toContain("Example: rampwright count line.ramp --least 3");
    expect(help).toContain("Exit status: 0 enough, 1 too few.");
  });

  it("its options read, wherever they stand", () => {
    const { word, rest } = splitWords(
      ["--least", "3", "count", "--leave=a, b,", "x.ramp", "--quiet"],
      Object.keys(added),
    );
    expect(word).toBe("count");
    expect(understood(rest, count)).toEqual({
      operands: ["x.ramp"],
      options: {
        kind: undefined,
        least: 3,
        order: undefined,
        leave: ["a", "b"],
        quiet: true,
        json: false,
        help: false,
      },
      json: false,
      help: false,
    });
  });

  it.each([
    [["x", "--least", "3", "--knid", "a"], "--knid: count has no such option (did you mean '--kind'?)"],
    [["x", "--least", "0"], "--least: a whole number from 1 to 1000"],
    [["x", "--least", "many"], "--least: a whole number from 1 to 1000"],
    [["x"], "--least: count needs it, with N"],
    [["--least", "3"], "FILE: count needs it: a design"],
    [["x", "y", "--least", "3"], "'y': count takes one of them"],
    [["x", "--least", "3", "--order", "ising"], "--order: there is no 'ising' (did you mean 'rising'?)"],
    [["x", "--least", "3", "--quiet=no"], "--quiet: it takes no value"],
    [["x", "--least"], "--least: N is missing behind it"],
  ])("%j refused: %s", (words, message) => {
    expect(refusal(words)).toBe(message);
  });

  it("the nearest verb where it is misspelt", () => {
    expect(() => splitWords(["cuont", "x"], Object.keys(added))).toThrow(DesignError);
    try {
      splitWords(["cuont", "x"], Object.keys(added));
    } catch (error) {
      expect((error as DesignError).diagnostics[0].hint).toBe("did you mean 'count'?");
    }
  });

  it.each(["bash", "zsh", "fish"])("completion in %s", async (shell) => {
    const result = await completionVerb.run({ operands: [shell], options: {}, json: false, verbs: added });
    for (const word of ["count", "least", "rising"]) expect(result.script).toContain(word);
  });

  it("its row in README's table", () => {
    expect(verbTable(all)).toMatch(
      /^\| `rampwright count FILE --least N` +\| counts the parts of a design +\|$/m,
    );
  });
});

describe("the verbs that ship", () => {
  const shipped = all.slice(0, -1);

  it("go by the words of their records", () => {
    expect(shipped.map((one) => one.word)).toEqual(Object.keys(verbs));
  });

  it.each(shipped.map((one) => [one.word, one] as const))(
    "%s has an example that it understands",
    (word, one) => {
      const words = one.example.match(/"[^"]*"|\S+/g)!.map((part) => part.replaceAll('"', ""));
      const { word: found, rest } = splitWords(words, Object.keys(verbs));
      expect(found).toBe(word);
      expect(understood(rest, one).help).toBe(false);
      expect(helpOn(one)).toContain(`Example: rampwright ${one.example}\n`);
      expect(Object.keys(one.statuses)).toContain("0");
    },
  );

  it("their examples are of files that ship, and a picture's has a tube", () => {
    for (const one of shipped) {
      const words = one.example.split(" ");
      // A verb that writes designs begins with a new file.
      const read =
        one.word === "init" ? [] : words.filter((_, i) => !["--out", "--csv"].includes(words[i - 1]));
      for (const name of read.filter((word) => /\.[a-z]+$/.test(word)))
        expect(existsSync(join(root, "examples", name)), `${one.word}: ${name}`).toBe(true);
      if (one.word === "picture")
        expect(readFileSync(join(root, "examples", words[1]), "utf8")).toMatch(/^tube /m);
    }
  });

  it("every verb that runs a design has an option for each limit of a run", () => {
    const running = shipped.filter((one) => "until" in one.options);
    expect(running.length).toBeGreaterThan(8);
    for (const one of running)
      for (const limit of ["steps", "bytes", "seconds", "periods"])
        expect(optionsOf(one)).toHaveProperty(limit);
  });

  it("stand in README's table and on the guide's page (npm run grammar)", () => {
    const readme = readFileSync(join(root, "README.md"), "utf8");
    expect(readme).toContain(`\n${verbTable(shipped)}\n`);
    const page = readFileSync(join(root, "examples/guide/command.md"), "utf8");
    expect(page).toBe(commandPage(shipped));
  });
});

// A note is laid out anew for the terminal: where a line ends within a sentence, the next word had no room on it.
describe("notes in the help", () => {
  it.each(all.map((one) => [one.word, helpOn(one)] as const))(
    "%s: lines end where they are full",
    (_, help) => {
      const [, notes = ""] = /\nExample: [^\n]*\n\n([\s\S]*?)\n\nExit status/.exec(help) ?? [];
      const lines = notes.split("\n");
      for (const [i, line] of lines.entries()) {
        expect(line.length).toBeLessThanOrEqual(100);
        const next = lines[i + 1];
        if (next === undefined || /^ |[.:]$/.test(line) || /^ |^$/.test(next)) continue;
        expect(line.length + 1 + next.split(" ")[0].length, line).toBeGreaterThan(100);
      }
    },
  );
});
