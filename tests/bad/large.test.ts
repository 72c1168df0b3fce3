// Texts that are large, deep or repeat themselves: each ends in a design or in a diagnostic, and never in an exhausted stack.
// The limits are those of `src/design/size.ts` and `src/design/values.ts`; each is tried just below, at and just above. That
// work grows with the text and not with its square is measured by the benches; here a square would not end in time.
import { describe, expect, it } from "vitest";
import { Report } from "../../src/base/diagnostic.js";
import { fits, largest, opened } from "../../src/design/openedsize.js";
import { compile, inspect, simulate, trials } from "../../src/index.js";
import { format } from "../../src/syntax/layout.js";
import { read } from "../../src/syntax/read.js";
import type { Statement } from "../../src/syntax/tree.js";
import { full } from "../counts.js";
import { errors } from "./designs.js";

const rc = "supply p = 12 V\nresistor r p -> ground 1 kohm\n";
const times = (n: number, line: (i: number) => string) =>
  Array.from({ length: n }, (_, i) => `${line(i)}\n`).join("");
const codes = (text: string, resolve?: (path: string) => string | undefined) =>
  inspect(text, { resolve }).diagnostics.map((d) => d.code);

describe("chains", () => {
  it("of 5000 named values, each made of the next or of the one before", () => {
    const after = `${times(5_000, (i) => `given a${i} = a${i + 1} + 1 V`)}given a5000 = 1 V\n`;
    const { design } = inspect(rc + after);
    expect(design!.givens.get("a0")!.value.toString()).toBe("5001");
    expect(codes(`${rc}given a0 = 1 V\n${times(5_000, (i) => `given a${i + 1} = a${i} + 1 V`)}`)).toEqual([]);
  });

  it("of 5000 named values in a circle: told once, with the ends of the way round", () => {
    const { diagnostics } = inspect(rc + times(5_000, (i) => `given a${i} = a${(i + 1) % 5_000}`));
    expect(diagnostics.map((d) => d.code)).toEqual(["circular-value"]);
    expect(diagnostics[0].message.length).toBeLessThan(300);
  });

  it("of 5000 values, each tracking the next: one axis; in a circle told once, with the ends of the way round", () => {
    const tracking = (last: string) =>
      times(5_000, (i) => `given a${i} = 1 ohm +- 1 %${i < 4_999 ? `, tracks a${i + 1}` : last}`);
    const { axes } = trials(compile(rc + tracking("") + 'check "c" peak of p below 13 V'), {
      trials: 1,
      seed: 1,
    });
    expect(axes.map((one) => one.name)).toEqual(["a4999"]);
    const { diagnostics } = inspect(rc + tracking(", tracks a0"));
    expect(diagnostics.map((d) => d.code)).toEqual(["circular-value"]);
    expect(diagnostics[0].message.length).toBeLessThan(300);
  });

  it("of 500 goals, each of a check of its own, and of 100 000 of one", () => {
    const checks = times(500, (i) => `check "c${i}" peak of p below ${i + 13} V`);
    const find = (i: number) => `find r from 1 ohm to 1 kohm for "c${i}"`;
    const { design } = inspect(rc + checks + times(500, (i) => find(499 - i)));
    expect(design!.finds.map((one) => one.goals[0].check).slice(0, 2)).toEqual(["c499", "c498"]);
    // Told a hundred times, and then that there are more.
    const unknown = codes(rc + checks + times(500, (i) => find(i + 500)));
    expect(unknown.slice(0, 100)).toEqual(Array(100).fill("unknown-check"));
    const twice = codes(`${rc}check "c0" peak of p below 13 V\n${find(0)}${', "c0"'.repeat(99_999)}`);
    expect(twice.slice(0, 100)).toEqual(Array(100).fill("repeated-goal"));
  });

  it("of 4000 texts, each brought by the one before; in a circle too", () => {
    const block = (n: number) => `block b${n} joins a\nresistor r a -> ground 1 ohm\nend\n`;
    const text = (to: (n: number) => string) => (path: string) => {
      const n = Number(path);
      return to(n) + block(n);
    };
    const chain = text((n) => (n < 4_000 ? `bring "${n + 1}"\n` : ""));
    expect(codes(`bring "0"\n${rc}use b4000 as x joins p`, chain)).toEqual([]);
    expect(
      codes(
        `bring "0"\n${rc}`,
        text((n) => `bring "${(n + 1) % 4_000}"\n`),
      ),
    ).toEqual(["bring-cycle"]);
  });

  it("of 5000 blocks, each using the next", () => {
    const text = times(5_000, (i) => `block b${i} joins a\nuse b${i + 1} as x joins a\nend`);
    expect(codes(`${rc}${text}use b0 as x joins p`)).toEqual(["too-deep"]);
  });
});

describe("exact numbers", () => {
  // 10^999 has 1000 digits, 10^1000 one more.
  const power = (n: number) =>
    `given a = 10\n${times(n - 1, (i) => `given b${i} = ${i ? `b${i - 1}` : "a"} * a`)}`;
  it.each([[998], [999]])("10^%i is taken", (n) => expect(errors(rc + power(n))).toEqual([]));
  it("10^1000 is not, and a number squared twelve times ends at once", () => {
    expect(codes(rc + power(1000))).toEqual(["number-range"]);
    const squared = times(12, (i) => `given a${i + 1} = a${i} * a${i}`);
    expect(codes(`${rc}given a0 = 3.14159265358979323846264338327950288\n${squared}`)).toEqual([
      "number-range",
    ]);
  });
});

describe("how large a design may be", () => {
  /** What is said of the size of a text, which is not put together here: at the limits that takes long. */
  const size = (text: string) => {
    const { statements } = read(text).tree;
    const report = new Report();
    const of = <T extends Statement["type"]>(type: T) =>
      statements.filter((s): s is Statement & { type: T } => s.type === type);
    fits(statements, of("case"), of("check"), report);
    return report.diagnostics.map((d) => d.code);
  };
  /** So many parts, most of them in uses of a block: a supply, n / 100 uses of 99 parts each, and what is left. */
  const parts = (n: number) => {
    const uses = Math.floor((n - 1) / 100);
    const block = `block b joins a\n${times(99, (i) => `resistor q${i} a -> ground 1 ohm`)}end\n`;
    const rest = times(n - 1 - 100 * uses, (i) => `resistor q${i} p -> ground 1 ohm`);
    return `supply p = 12 V\n${block}${times(uses, (i) => `use b as u${i} joins p`)}${rest}`;
  };

  it.each([
    [largest.parts - 1, []],
    [largest.parts, []],
    [largest.parts + 1, ["too-many-parts"]],
  ])("%i parts", (n, expected) => {
    expect(opened(read(parts(n)).tree.statements)).toBe(n);
    expect(size(parts(n))).toEqual(expected);
  });

  it.each([
    [498, []],
    [499, []],
    [500, ["too-many-cases"]],
  ])("%i cases of a thousandth of what all may have", (n, expected) => {
    expect(largest.inCases).toBe(500 * 1000);
    expect(size(parts(1000) + times(n, (i) => `case "c${i}" p dead`))).toEqual(expected);
  });

  it.each([
    [99, []],
    [100, []],
    [101, ["too-many-checks"]],
  ])("%i checks as drawn and in 999 cases", (n, expected) => {
    expect(largest.checks).toBe(100 * 1000);
    const checks = times(n, (i) => `check "k${i}" peak of p below 20 V in every case`);
    expect(size(rc + times(999, (i) => `case "c${i}" r is 1 ohm`) + checks)).toEqual(expected);
  });

  it("what is too large is refused before it is put together", () => {
    const checks = times(3000, (i) => `check "k${i}" peak of p below 20 V in every case`);
    expect(codes(rc + times(3000, (i) => `case "c${i}" r is 1 ohm`) + checks)).toEqual(["too-many-checks"]);
    expect(codes(parts(largest.parts + 1))).toEqual(["too-many-parts"]);
  });
});

it.skipIf(!full)("140 000 parts are laid out, and run: more than the arguments that a call can have", () => {
  const text = rc + times(140_000, (i) => `resistor q${i} p -> ground 1 kohm`);
  expect(format(text).text).toContain("q139999");
  const design = compile(text);
  const run = simulate(design, { until: "1 us" });
  expect(run.status).toBe("complete");
  // 12 V across 1 kohm, whatever stands beside it.
  expect(run.trace("q139999.current").at(0)).toBeCloseTo(0.012, 15);
});

describe("thousands of unknown names: the first hundred are told, each with its place", () => {
  it.each([
    ["values", (i: number) => `resistor q${i} p -> ground nope${i}`],
    ["places of checks", (i: number) => `check "c${i}" peak of nope${i} below 1 V`],
    ["blocks", (i: number) => `use nope${i} as u${i} joins p`],
    ["controls", (i: number) => `switch s${i} p -> ground closed while nope${i} above 1 V, on 1 ohm`],
    ["kinds", (i: number) => `resistar q${i} p -> ground 1 ohm`],
  ])("%s", (_, line) => {
    const { diagnostics } = inspect(rc + times(4_000, line));
    expect(diagnostics).toHaveLength(101);
    expect(diagnostics[100].code).toBe("too-many");
    expect(diagnostics[0].span.line).toBe(3);
  });
});

describe("byte-order marks", () => {
  it("one at the head is none; anywhere else each is a stray character", () => {
    expect(errors(`\ufeff${rc}`)).toEqual([]);
    expect(errors(`${rc}\ufeff`)).toEqual(["3:1 stray-character"]);
    expect(errors(`${rc}\ufeff\ufeff`)).toEqual(["3:1 stray-character", "3:2 stray-character"]);
    expect(codes(`\ufeff\ufeff${rc}`)).toEqual(["stray-character"]);
  });
});
