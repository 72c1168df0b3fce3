// Slices of a study in files: put together they are what one run gives, to the bit, in whatever order; a slice that is lost is made
// again, one that is there twice is refused, and so is one of other work or one that is damaged. The check is the run in one piece.
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { exactData, exactText } from "../../src/command/exacttext.js";
import { runsOfSlice } from "../../src/command/studyslices.js";
import { tries } from "../counts.js";
import { file, folder, rampwright, sound } from "./running.js";

/** With a case, a text that is brought, and a check that has no value: what does not occur is NaN. */
const design = `${sound.replace("\n", '\nbring "shipped/leakage"\nuse leaking_capacitor as extra joins ramp, ground with size 1 pF\n')}
check "never there" crossing of ramp rising through 20 V below 1 ms
case "weak" feed is 0.5 mA
check "half" value of ramp at 60 us is 2.5 V +- 1 %
`;

const verbs: readonly [verb: string, words: readonly string[]][] = [
  ["faults", []],
  ["vary", ["--value", "hold", "--from", "5nF", "--to", "20nF", "--points", "7"]],
];

describe("slices", () => {
  it.each(verbs)("%s: in any order, on any number of workers, what one run gives", (verb, words) => {
    const path = file(design);
    const at = folder();
    const whole = rampwright([verb, path, ...words, "--json", "--workers", "1"]);
    const slice = (part: number, workers: string) => {
      const out = join(at, `${part}.json`);
      const done = rampwright([
        verb,
        path,
        ...words,
        "--slice",
        `${part}/3`,
        "--out",
        out,
        "--workers",
        workers,
      ]);
      expect([done.status, done.out]).toEqual([
        0,
        expect.stringMatching(`^Slice ${part} of 3: (\\d+) of its \\1 `),
      ]);
      return out;
    };
    const [a, b, c] = [slice(1, "1"), slice(2, "2"), slice(3, "1")];
    // Neither the design nor what it brings is needed where they are put together.
    rmSync(path);
    const merged = rampwright([verb, "--merge", c, a, b, "--json"]);
    expect([merged.status, merged.out]).toEqual([whole.status, whole.out]);
    // The printed table is the same as well.
    expect(rampwright([verb, "--merge", b, c, a]).out).toMatch(/hold|feed/);

    const lost = rampwright([verb, "--merge", a, c]);
    expect([lost.status, lost.err]).toEqual([
      3,
      expect.stringMatching(/runs are missing: run again of 3 slices 2\n/),
    ]);
    const twice = rampwright([verb, "--merge", a, b, a]);
    expect([twice.status, twice.out, twice.err]).toEqual([2, "", expect.stringContaining("run 0 is in")]);
  });

  it("spread: --slice cuts the trials that --trials asks for", () => {
    const path = file(sound.replace("ground 10 nF", "ground 10 nF +- 5 %"));
    const at = folder();
    const run = (name: string, ...words: string[]) => {
      const out = join(at, name);
      rampwright(["spread", path, "--trials", "10", "--out", out, ...words]);
      return out;
    };
    const whole = run("whole.json");
    const parts = [1, 2, 3].map((part) => run(`${part}.json`, "--slice", `${part}/3`));
    const merged = join(at, "merged.json");
    rampwright(["spread", "--merge", ...parts.reverse(), "--out", merged]);
    expect(readFileSync(merged, "utf8")).toBe(readFileSync(whole, "utf8"));
    const empty = rampwright(["spread", path, "--trials", "2", "--slice", "1/3", "--out", merged]);
    expect([empty.status, empty.err]).toEqual([2, expect.stringContaining("would be empty")]);
  });

  it("diagnose: slices become the table that it keeps beside the design", () => {
    const path = file(design);
    const at = folder();
    const reading = ["--reading", "mean of ramp after 50 us 4.5 V"];
    const kept = join(at, "whole.symptoms.json");
    const whole = rampwright(["diagnose", path, ...reading, "--table", kept]);
    const parts = [1, 2].map((part) => {
      const out = join(at, `${part}.json`);
      rampwright(["diagnose", path, ...reading, "--slice", `${part}/2`, "--out", out]);
      return out;
    });
    const merged = join(at, "merged.symptoms.json");
    expect(rampwright(["diagnose", "--merge", ...parts]).err).toContain("it needs --table");
    expect(rampwright(["diagnose", "--merge", ...parts, "--table", merged]).status).toBe(0);
    expect(readFileSync(merged, "utf8")).toBe(readFileSync(kept, "utf8"));
    const told = rampwright(["diagnose", path, ...reading, "--table", merged]);
    // It was taken as it is: nothing was written again.
    expect([told.out, told.err]).toEqual([whole.out, ""]);
  });

  it("refuses what is no slice, damaged, or of other work", () => {
    const path = file(design);
    const at = folder();
    const run = (name: string, words: readonly string[], text = path) => {
      const out = join(at, name);
      expect(rampwright(["vary", text, ...words, "--slice", "1/2", "--out", out]).status).toBe(0);
      return out;
    };
    const range = ["--value", "hold", "--from", "5nF", "--to", "20nF", "--points", "3"];
    const good = run("good.json", range);
    const wrong = (message: string, ...words: readonly string[]) => {
      const { status, out, err } = rampwright(words);
      expect([status, out, err]).toEqual([2, "", expect.stringContaining(message)]);
    };
    const other = "slices of different work";
    wrong(other, "vary", "--merge", good, run("points.json", range.with(-1, "4")));
    wrong(other, "vary", "--merge", good, run("text.json", range, file(design.replace("1 mA", "2 mA"))));
    wrong("another verb's work", "faults", "--merge", good);
    const codes = (...files: readonly string[]) =>
      JSON.parse(rampwright(["vary", "--json", "--merge", ...files]).out).diagnostics[0].code;
    expect(codes(good, good)).toBe("overlapping-slices");
    expect(codes(good, run("few.json", range.with(-1, "2")))).toBe("different-slices");
    expect(codes(path)).toBe("no-slice");
    const damaged = join(at, "damaged.json");
    const text = readFileSync(good, "utf8");
    for (const bad of [text.replace("10 nF", "11 nF"), text.slice(0, -9), "{}", "", "no JSON"]) {
      writeFileSync(damaged, bad);
      wrong("is no slice, or is damaged", "vary", "--merge", damaged);
    }
    wrong("cannot be read", "vary", "--merge", join(at, "none.json"));
    wrong("--points: slices are put together as they are", "vary", "--merge", good, "--points", "5");
    wrong("--slice: it needs --out", "faults", path, "--slice", "1/2");
    wrong("--out: it keeps a slice", "faults", path, "--out", damaged);
    for (const bad of ["0/2", "3/2", "1", "1/2/3", "-1/2", "1/2.5", "x/y", "1/0"])
      wrong("as in 3/8", "faults", path, `--slice=${bad}`, "--out", damaged);
    wrong("one design at a time", "faults", path, path);
    wrong("is no slice", "faults", "--merge", path);
  });
});

describe("what a slice is made of", () => {
  it("every run is in one slice and no other", () => {
    fc.assert(
      fc.property(fc.nat(200), fc.integer({ min: 1, max: 40 }), (runs, of) => {
        const all = Array.from({ length: of }, (_, i) => runsOfSlice(runs, { part: i + 1, of })).flat();
        expect(all.sort((a, b) => a - b)).toEqual(Array.from({ length: runs }, (_, id) => id));
      }),
      { numRuns: tries(100) },
    );
  });

  it("data read back to the last bit: doubles of every sort, maps, bytes, nothing", () => {
    const leaf = fc.oneof(
      fc.double(),
      fc.string(),
      fc.boolean(),
      fc.constant(null),
      fc.float64Array({ maxLength: 5 }),
      fc.uint8Array({ maxLength: 5 }),
    );
    const { tree } = fc.letrec<{ tree: unknown }>((tie) => ({
      tree: fc.oneof(
        { maxDepth: 4 },
        leaf,
        fc.array(tie("tree"), { maxLength: 4 }),
        fc.dictionary(
          fc.string().filter((key) => key !== "$" && key !== "__proto__"),
          tie("tree"),
          { maxKeys: 4, noNullPrototype: true },
        ),
        fc
          .array(fc.tuple(fc.string(), fc.option(tie("tree"), { nil: undefined })), { maxLength: 3 })
          .map((p) => new Map(p)),
      ),
    }));
    fc.assert(
      fc.property(tree, (data) => {
        // Compared as node:util would: minus zero is not zero, NaN is NaN.
        expect(exactData(exactText({ data }))).toStrictEqual({ data });
      }),
      { numRuns: tries(500) },
    );
  });
});
