// Bad input as far as the syntax stage sees it: strange characters, ends inside something, numbers that are none,
// names that collide with the host language, depth, and length. Places are counted by hand.
import { describe, expect, test } from "vitest";
import { nearest, slips } from "../../src/base/nearest.js";
import { format, formatTree } from "../../src/syntax/layout.js";
import { read } from "../../src/syntax/read.js";
import { showDiagnostic } from "../../src/syntax/show.js";
import { full } from "../counts.js";
import { mend } from "./mended.js";

const found = (text: string, kinds?: string[]) =>
  read(text, { kinds }).report.diagnostics.map((d) => `${d.span.line}:${d.span.column} ${d.code}`);

describe("characters", () => {
  test.each(["", " \n\t\n", "\ufeff", "\r\n\r\n", "# nothing"])("nothing in it: %j", (text) => {
    expect(found(text)).toEqual(["1:1 empty-design"]);
  });

  test("a byte-order mark is accepted and is no column", () => {
    expect(found("\ufeffgiven a = 1")).toEqual([]);
    expect(found("\ufeffgiven a = @")).toEqual(["1:11 stray-character"]);
    const { diagnostics } = read("\ufeffsuply a = 1 V").report;
    expect(mend("\ufeffsuply a = 1 V", diagnostics[0].fix!)).toBe("\ufeffsupply a = 1 V");
  });

  test.each(["\n", "\r\n", "\r"])("line ends %j count alike", (end) => {
    const text = ["given a = 1", "given b 2", "", "given c 3"].join(end);
    expect(found(text)).toEqual(["2:9 unexpected-word", "4:9 unexpected-word"]);
  });

  test("NUL, other controls and half a surrogate pair at their exact columns, everywhere", () => {
    expect(found("given a = \0 1")).toEqual(["1:11 stray-character"]);
    expect(found("given a = 1 # \ud800 and 😀 \udc00")).toEqual([
      "1:15 stray-character",
      "1:24 stray-character",
    ]);
    expect(found('title "\u001b[31m"')).toEqual(["1:8 stray-character"]);
    // A pair counts as two columns, as editors count.
    expect(found('title "😀\0"')).toEqual(["1:10 stray-character"]);
  });

  test("both code points of micro and both of ohm are units", () => {
    const digits = ["\u00b5F", "\u03bcF", "k\u03a9", "k\u2126"];
    for (const unit of digits) expect(found(`given a = 5 ${unit}`), unit).toEqual([]);
  });

  test("composed and decomposed spellings are one name", () => {
    const [composed, apart] = ["R\u00f6hre", "Ro\u0308hre"];
    const names = read(`given ${composed} = 1\ngiven ${apart} = 2`).tree.statements.map((s) =>
      s.type === "given" ? s.name.text : "",
    );
    expect(names).toEqual([composed, composed]);
  });

  test("letters of both cases and of every plane", () => {
    expect(found("given 𝒳 = 1\ngiven ﬀ = 𝒳")).toEqual([]);
  });

  test("digits of every script that has them are refused with their value", () => {
    // Zero of each: Arabic, Devanagari, fullwidth, mathematical double-struck (Unicode Character Database).
    for (const zero of [0x660, 0x966, 0xff10, 0x1d7d8]) {
      const seven = String.fromCodePoint(zero + 7);
      const { diagnostics } = read(`given a = ${seven} V`).report;
      expect(diagnostics.map((d) => [d.code, d.span.column, d.fix?.text])).toEqual([
        ["number-malformed", 11, "7"],
      ]);
    }
  });
});

describe("ends inside something", () => {
  test("a text names the line it opens on, a block too", () => {
    const [text] = read('title "Nest').report.diagnostics;
    expect(text.message).toContain("line 1");
    const [block] = read("given a = 1\nblock sweep joins a\n  given x = 1").report.diagnostics;
    expect(block.message).toContain("line 2");
    expect(block.related![0].span).toEqual({ line: 3, column: 14, length: 0 });
  });

  test("an end of the text has a real place", () => {
    const { diagnostics } = read("given a =").report;
    expect(diagnostics[0].span).toEqual({ line: 1, column: 10, length: 1 });
  });
});

describe("misspelt words", () => {
  const kinds = ["resistor", "capacitor", "switch"];
  test.each([
    ["resitor r a -> b 5 ohm", "resistor r a -> b 5 ohm"],
    ["Capacitor c a -> b 5 nF", "capacitor c a -> b 5 nF"],
    ["suply a = 5 V", "supply a = 5 V"],
    ["swithc s a -> b closed while g above 1 V", "switch s a -> b closed while g above 1 V"],
    ["switch s a -> b closed while g abvoe 1 V", "switch s a -> b closed while g above 1 V"],
    ['check "x" peak of ramp eahc gate is 1 V', 'check "x" peak of ramp each gate is 1 V'],
    ["given a = 5 Mohn", "given a = 5 Mohm"],
    ["given a 5 V", "given a = 5 V"],
    ["run 5 ms", "run for 5 ms"],
  ])("%s", (wrong, right) => {
    const { diagnostics } = read(wrong, { kinds }).report;
    expect(diagnostics).toHaveLength(1);
    expect(mend(wrong, diagnostics[0].fix!)).toBe(right);
    expect(found(right, kinds)).toEqual([]);
  });

  test("a part of an unknown kind is in the tree all the same", () => {
    const { tree, report } = read("widget w a -> b 5 ohm", { kinds });
    expect(report.diagnostics.map((d) => d.code)).toEqual(["unknown-statement"]);
    expect(tree.statements.map((s) => s.type)).toEqual(["part"]);
  });

  test("nearest: one slip in a short word, none in a tiny one", () => {
    // Distances by hand: swap = 1, insert = 1, change = 1.
    expect(slips("abvoe", "above")).toBe(1);
    expect(slips("kitten", "sitting")).toBe(3); // the textbook pair of V. I. Levenshtein's distance
    expect(slips("", "abc")).toBe(3);
    expect(nearest("at", ["as", "to"])).toBeUndefined();
    expect(nearest("AT", ["as", "at"])).toBe("at");
    expect(nearest("constructor", ["__proto__"])).toBeUndefined();
    expect(nearest("x".repeat(1e6), ["x"])).toBeUndefined();
  });
});

describe("every good statement is in the tree", () => {
  test("between mistakes of all sorts", () => {
    const good = ["given a = 1", "supply p = 5 V", "resistor r a -> b 5 ohm", 'title "t"'];
    const bad = [
      "given = 5",
      "resistor r a b",
      "@@@",
      "given x = (1",
      'title "x',
      "= 4",
      "end",
      "given x = 5 Vlt",
    ];
    const text = bad.flatMap((line, i) => [line, good[i % good.length]]).join("\n");
    const { tree, report } = read(text);
    expect(tree.statements.filter((s) => s.type !== "title" || s.text === "t")).toHaveLength(bad.length);
    const lines = new Set(report.diagnostics.map((d) => d.span.line));
    expect([...lines].sort((a, b) => a - b)).toEqual(bad.map((_, i) => 2 * i + 1));
  });
});

describe("depth", () => {
  test("100 000 brackets, signs, dots and blocks end in a diagnostic, never in the stack", () => {
    const n = 100_000;
    expect(found(`given a = ${"(".repeat(n)}1${")".repeat(n)}`)).toEqual(["1:75 too-deep"]);
    expect(found(`given a = ${"-".repeat(n)}1`)).toEqual(["1:511 too-deep"]);
    expect(found(`given a = 1${" + 1".repeat(n)}`)).toEqual(["1:2013 too-deep"]);
    expect(found("block a joins b\n".repeat(n) + "end\n".repeat(n))).toEqual(["65:1 too-deep"]);
    expect(found(`given a = b${".b".repeat(n)}`)).toEqual([]);
  });

  test("64 deep is accepted and can be laid out", () => {
    const text = `given a = ${"(1 - ".repeat(64)}1${")".repeat(64)}\n`;
    expect(found(text)).toEqual([]);
    expect(format(text).text).toBe(`given a = ${"1 - (".repeat(63)}1 - 1${")".repeat(63)}\n`);
  });
});

describe("length", () => {
  test("too long a text and too long a line have their own diagnostics", () => {
    expect(found("#".repeat(16 * 1024 * 1024 + 1))).toEqual(["1:1 text-too-long"]);
    expect(found(`given a = 1\n#${" ".repeat(1024 * 1024)}`)).toEqual(["2:1048577 line-too-long"]);
  });

  // Ten times the text may take ten times the time; a method that goes back would take a hundred times. Ratios of the
  // processor's time (a busy machine takes none of it), the least of five of each, taken by turns, with room for noise.
  const many = full ? 60_000 : 20_000;
  const hostile: [string, (n: number) => string][] = [
    ["quotes", (n) => '"'.repeat(n)],
    ["signs", (n) => `given x = 1${" -1 / +1,".repeat(n / 9)}`],
    ["digits and points", (n) => `given x = ${"1.".repeat(n / 2)}`],
    ["exponents", (n) => `given x = ${"1e".repeat(n / 2)}`],
    ["strays", (n) => "@ ".repeat(n / 2)],
    ["names", (n) => "a ".repeat(n / 2)],
    ["lines", (n) => "a b\n".repeat(n / 4)],
    ["lines that go on", (n) => "a,\n".repeat(n / 3)],
    ["open blocks", (n) => "block a\n".repeat(n / 8)],
    ["blanks", (n) => `given a = 1${" \t".repeat(n / 2)}@`],
    ["marks", (n) => `given a${"\u0308".repeat(n)} = 1`],
  ];
  test.each(hostile)("time grows in proportion: %s", (_, make) => {
    const time = (text: string) => {
      const start = process.cpuUsage();
      read(text);
      const { user, system } = process.cpuUsage(start);
      return (user + system) / 1000;
    };
    const texts = [make(many), make(10 * many)];
    time(make(many / 2));
    const turns = Array.from({ length: 5 }, () => texts.map(time));
    const [once, tenfold] = texts.map((_, k) => Math.max(0.2, Math.min(...turns.map((turn) => turn[k]))));
    expect(tenfold / once).toBeLessThan(40);
  });

  test("of very many mistakes the first hundred are told, and that there are more", () => {
    const all = read("given a 1\n".repeat(5000)).report.diagnostics;
    expect(all).toHaveLength(101);
    expect(all[100].code).toBe("too-many");
  });
});

describe("names of the host language", () => {
  test("are ordinary, and leave Object.prototype alone", () => {
    const before = Object.getOwnPropertyNames(Object.prototype).sort();
    const words = ["__proto__", "constructor", "toString", "hasOwnProperty", "valueOf"];
    for (const name of words) {
      expect(found(`given ${name} = 1\nresistor ${name} ${name} -> 0 ${name}, ${name} 5`), name).toEqual([]);
      // As a first word, a measure, a unit.
      expect(found(name)).toEqual(["1:1 unknown-statement"]);
      expect(found(`given a = 5 ${name}`)).toEqual(["1:13 unknown-unit"]);
    }
    expect(Object.getOwnPropertyNames(Object.prototype).sort()).toEqual(before);
  });
});

describe("shown to people", () => {
  test("place, line, marks, hint", () => {
    const text = "given a = 1\nsupply plus12 = 12 Vlot";
    const [d] = read(text).report.diagnostics;
    expect(showDiagnostic(d, text, "line.ramp")).toBe(
      [
        "line.ramp:2:20: error unknown-unit: 'Vlot' is not a unit",
        "2 | supply plus12 = 12 Vlot",
        "  |                    ^^^^",
        "  mend: units are V, A, s, Hz, ohm, F, H, W, J, C, K, %, ppm and deg, with prefixes",
      ].join("\n"),
    );
  });

  test("tabs, wide characters and long lines do not shift the marks", () => {
    const marked = (text: string) => {
      const [d] = read(text).report.diagnostics;
      const [, line, marks] = showDiagnostic(d, text, "x").split("\n");
      return { line: line, marks: marks };
    };
    // Four columns for the tab, two for each of the two wide characters.
    expect(marked("given\t管管 = @").marks).toBe(`  | ${" ".repeat(5 + 4 + 4 + 3)}^`);
    const long = marked(`given a = 1${" + 1".repeat(200)} @`);
    expect(long.line.length).toBeLessThan(120);
    expect(long.line[long.marks.indexOf("^")]).toBe("@");
  });

  test("no control character reaches the terminal", () => {
    const text = 'title "\u001b[31m\u202e" @';
    for (const d of read(text).report.diagnostics) {
      expect(showDiagnostic(d, text, "\u001bx")).not.toMatch(/(?!\n)\p{Cc}|\u202e/u);
    }
  });
});

describe("layout", () => {
  test("keeps comments and single blank lines, aligns neighbours", () => {
    const text = [
      "# sweep",
      "",
      "",
      "given a=1   # one",
      "capacitor hold ramp->ground 15nF ± 5%",
      "current feed   plus12->ramp   charge,headroom 0.9V # rail",
      "block b joins x,y",
      "",
      "given q = ((1))+2",
      "   # inside",
      "end   # done",
      "# last",
    ].join("\r\n");
    expect(format(text).text).toBe(
      [
        "# sweep",
        "",
        "given a = 1  # one",
        "capacitor hold ramp -> ground 15 nF +- 5 %",
        "current   feed plus12 -> ramp charge, headroom 0.9 V  # rail",
        "block b joins x, y",
        "  given q = 1 + 2",
        "  # inside",
        "end  # done",
        "# last",
        "",
      ].join("\n"),
    );
  });

  test("breaks a long statement at its commas and keeps comments at the breaks", () => {
    const text =
      "current feed plus12 -> ramp charge, # how much\n  # how far\n  headroom 0.9 V,\n output 2 Mohm # done\n";
    expect(format(text).text).toBe(
      [
        "current feed plus12 -> ramp charge,  # how much",
        "    # how far",
        "    headroom 0.9 V, output 2 Mohm  # done",
        "",
      ].join("\n"),
    );
    const long = `signal s = path 0 V at 0 s${Array.from({ length: 30 }, (_, i) => `, ${i} V at ${i + 1} ms`).join("")}\n`;
    const laid = format(long).text!;
    expect(laid.split("\n").length).toBeGreaterThan(4);
    for (const line of laid.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
    expect(format(laid).text).toBe(laid);
  });

  test("a text that the language cannot write is refused", () => {
    const span = { line: 1, column: 1, length: 1 };
    const tree = { statements: [{ type: "title" as const, text: 'a"b', span }], comments: [] };
    expect(formatTree(tree).diagnostics.map((d) => d.code)).toEqual(["text-not-writable"]);
  });
});
