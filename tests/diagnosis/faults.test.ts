// Whether the true fault is found: every single fault of the line sweep, other values drawn within tolerance, readings of 8 bits of
// the gate, the ramp and the supply's current, as drawn and unplugged; some faults of the board.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import {
  compile,
  diagnose,
  readCapture,
  readingsFrom,
  type SymptomTable,
  symptoms,
} from "../../src/index.js";
import { full } from "../counts.js";
import { median, tryFaults } from "./trying.js";

const line = compile(readFileSync("examples/line.ramp", "utf8"), { name: "line.ramp" });
const table = symptoms(line);
const seen = {
  cases: ["", "camera unplugged"],
  targets: ["gate", "ramp", "plus12.current"],
  advised: true,
};

describe("every single fault of the line sweep", () => {
  it.each([
    { name: "off by the factors that were run", factors: [2, 10] },
    { name: "off by other factors", factors: [3, 5] },
  ])("is first or tied first, and found by four advised looks at most: $name", ({ factors }) => {
    const seeds = full ? [1, 2, 3, 4, 5] : [1];
    const score = tryFaults(line, table, { ...seen, factors, seeds });
    const shows = score.boards - score.invisible;
    expect(score.boards).toBeGreaterThanOrEqual(20 * seeds.length);
    // What moves no reading by its resolution is counted apart, and is little.
    expect(score.invisible).toBeLessThanOrEqual(0.1 * score.boards);
    expect([score.first / shows >= 0.95, score.misses]).toEqual([true, expect.anything()]);
    expect(score.found / shows).toBeGreaterThanOrEqual(0.9);
    expect(score.after / shows).toBeGreaterThanOrEqual(0.9);
    expect(median(score.ties)).toBeLessThanOrEqual(2);
    // The true fault is seldom called unexplained.
    expect(score.unexplained).toBeLessThanOrEqual(0.1 * shows);
  });
});

describe("faults of the board", () => {
  // With bars in place of the crosshatch, and lines alone, few of them at hand: short enough for every day. The whole board:
  // `npm run verify:faults`.
  const whole = readFileSync("examples/board.ramp", "utf8");
  const circuit = whole.slice(0, whole.indexOf("\nrun for ") + 1).replace("crosshatch, circle", "bars");
  const board = compile(
    `${circuit}run for ${full ? "4 ms" : "1 ms"}\ncase "unplugged" cable.unplugged is ${full ? "1 ms" : "0.4 ms"}\n`,
    { name: "board.ramp" },
  );
  const parts = ["line.hold", "line.reset", "line_turn.turn", "separator.slicer", "mix"];

  const factors = [2];
  const cases = full ? ["", "unplugged"] : [""];
  let made: SymptomTable | undefined;
  const some = () => {
    made ??= symptoms(board, { parts, factors, cases, most: 60 });
    return made;
  };

  it.each([
    { name: "good", fault: " none" },
    { name: "halted", fault: "line.reset open" },
    { name: "silent", fault: "line_turn.turn open" },
    { name: "large", fault: "line.hold value too high" },
  ])("are told by captures of the gate and the ramp, made by closed forms: $name", ({ name, fault }) => {
    const capture = readCapture(readFileSync(`examples/captures/board/${name}.csv`, "utf8"));
    const held = (of: string, channel: number) => readingsFrom(board, { capture, of, channel });
    const told = diagnose(some(), [...held("line_gate", 1), ...held("line_ramp", 2)]);
    expect(told.explained).toBe(true);
    expect(told.candidates[0].faults.map((f) => `${f.name} ${f.kind}`)).toContain(fault);
    expect(told.candidates[0].weight).toBeGreaterThan(0.9);
  });

  it("in the line's sweep and before it are first or tied first, those of the picture's way counted apart", () => {
    const score = tryFaults(board, some(), {
      cases,
      targets: ["line_gate", "line_ramp", "across", "plus12.current"],
      seeds: [1],
      parts,
      factors,
      advised: true,
    });
    const shows = score.boards - score.invisible;
    expect(score.boards).toBeGreaterThanOrEqual(10);
    // What mixes the picture moves none of these places.
    expect(score.invisible).toBeGreaterThanOrEqual(2);
    expect(shows).toBeGreaterThanOrEqual(8);
    expect([score.first / shows >= 0.95, score.misses]).toEqual([true, expect.anything()]);
    expect(score.found / shows).toBeGreaterThanOrEqual(0.9);
  });
});
