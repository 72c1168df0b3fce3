// What checks measure on the parts they hang on, against the whole design: the same but for rounding, since nothing behind an
// ideal output or an ideal supply is felt before it (superposition; an ideal source has no resistance).
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { excerpt } from "../../src/judging/excerpt.js";

const board = readFileSync(new URL("../../examples/board.ramp", import.meta.url), "utf8");
const drawn = board
  .slice(0, board.indexOf("\nrun for "))
  .replace("crosshatch, circle", "bars")
  .concat("\nrun for 1 ms\n");

describe("an excerpt of a design", () => {
  it.each<[string, string, readonly string[], readonly string[]]>([
    [
      "the line sweep",
      "peak of line_ramp after 0.5 ms above 3 V",
      ["line.hold", "separator"],
      ["field", "gain", "mix"],
    ],
    [
      "the jack",
      "swing of jack after 0.5 ms above 0.9 V",
      ["cable", "entry"],
      ["line.", "field.", "separator", "gain"],
    ],
    ["the drive", "peak of drive after 0.5 ms above 0 V", ["gain", "mix", "brightness"], ["line.", "field."]],
    [
      "by the pulses",
      "floor of line_ramp each line_gate after 0.5 ms below 20 mV",
      ["line.", "separator"],
      ["gain"],
    ],
  ])("measures as the whole: %s", (_, words, with_, without) => {
    const design = compile(`${drawn}check "it" ${words}\n`);
    const part = excerpt(design, design.checks);
    const names = part.parts.map((p) => p.name);
    for (const one of with_) expect(names.some((n) => n.startsWith(one))).toBe(true);
    for (const one of without) expect(names.filter((n) => n.startsWith(one))).toEqual([]);
    const [few] = verify(simulate(part));
    const [all] = verify(simulate(design));
    expect(all.measured).not.toBeNaN();
    expect(Math.abs(few.measured - all.measured)).toBeLessThan(1e-8 * Math.abs(all.measured) + 1e-9);
  });

  it("stays whole where a target is moved by all, and keeps what leans on a part that has failed", () => {
    const design = compile(`${drawn}check "it" peak current of plus5 below 1 A\n`);
    expect(excerpt(design, design.checks)).toBe(design);
    const { checks } = compile(`${drawn}check "it" peak of line_ramp above 3 V\n`);
    // With the 5 V rail gone all that hangs on it moves all else.
    const rail = excerpt(design, checks, "plus5").parts.map((p) => p.name);
    expect(rail.some((n) => n.startsWith("field."))).toBe(true);
  });
});
