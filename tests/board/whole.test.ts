// The whole nest-box board, examples/board.ramp, as `npm start` runs it: every check of it passes in every case, and what
// it leaves is the picture at the head of the README. What it simulates agrees with closed forms.
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { decode } from "fast-png";
import { afterAll, beforeAll, describe, expect, it, test } from "vitest";
import { compile, type Run } from "../../src/index.js";
import { rampwright, root } from "../command/running.js";
import { passing, reach, run } from "./looking.js";

const text = readFileSync(join(root, "examples/board.ramp"), "utf8");
const design = compile(text);
const all = [design, ...design.cases];
const heading = ({ caseName }: { readonly caseName: string }) =>
  caseName === "" ? "As drawn" : `Case "${caseName}"`;

describe("npm start", () => {
  // The board is run once for all that is looked at here; what the script itself says is a test of the README.
  let said = "";
  let sections: Map<string, string[]>;
  let pictures = "";
  beforeAll(() => {
    pictures = mkdtempSync(join(tmpdir(), "rampwright-"));
    const { status, out } = rampwright(["check", "examples/board.ramp", "--pictures", pictures]);
    expect(status).toBe(0);
    said = out;
    sections = new Map(
      out.split("\n\n").map((part) => {
        const [head, , ...rows] = part.split("\n");
        return [head, rows];
      }),
    );
  });
  afterAll(() => rmSync(pictures, { recursive: true, force: true }));

  test.each(all.flatMap((d) => d.checks.map((check) => [heading(d), check.name] as const)))(
    "%s: %s",
    (head, name) => {
      const row = sections.get(head)!.find((line) => line.startsWith(`  ${name}  `));
      expect(row).toMatch(/ % {2}pass( |$)/);
    },
  );

  it("says that all of them passed, and how many they are", () => {
    const count = all.reduce((sum, { checks }) => sum + checks.length, 0);
    expect(said).toContain(`\nAll ${count} checks passed. `);
  });

  it("leaves a picture of every case, and the one at the head of the README", () => {
    const left = readdirSync(pictures);
    expect(left.filter((name) => name.endsWith(".svg")).length).toBe(all.length);
    expect(left).toContain("board.svg");
    // The one that is kept is packed more tightly (.ci/screen.mjs): pixel by pixel it is the one drawn now.
    const [drawn, kept] = [join(pictures, "board-screen.png"), join(root, "examples/screen.png")].map(
      (file) => decode(readFileSync(file)),
    );
    expect([kept.width, kept.height, kept.channels]).toEqual([768, 576, 1]);
    expect(Buffer.from(drawn.data).equals(Buffer.from(kept.data))).toBe(true);
  });
});

describe("the board", () => {
  let kept: Run | undefined;
  const drawn = () => {
    kept ??= run(text, { until: "42 ms" });
    return kept;
  };

  it("has the cases that a builder would ask for", () => {
    for (const words of [
      /unplugged/,
      /double terminated/,
      /not terminated/,
      /5 V rail dead/,
      /12 V rail dead/,
      /weak/,
      /hot/,
      /black/,
      /white/,
      /hum/,
    ])
      expect(design.cases.some((c) => words.test(c.caseName))).toBe(true);
  });

  it("takes every field sync at the same instant after its first broad pulse, to within 50 ns", () => {
    // Like pulses of successive fields are 312.5 lines apart (ITU-R BT.1700, figures 3 to 5).
    const done = drawn();
    const rises = passing(done.trace("field_gate"), 2.5, "rising").filter((t) => t > 1e-3);
    const fields = Array.from(done.periods("camera.fields")).filter((t) => t > 1e-3 && t < done.until - 1e-3);
    expect(rises.length).toBe(fields.length);
    const late = rises.map((t, i) => t - fields[i]);
    expect(late.length).toBeGreaterThan(1);
    expect(Math.max(...late) - Math.min(...late)).toBeLessThan(50e-9);
  });

  it("its ramps are those of a constant current: I t/C from the end of each reset", () => {
    // Q = C V = I t (any book); 1 mA into 15 nF over 48 µs of a line, 0.94 mA into 4.7 µF over 18 ms of a field. The
    // 2 Mohm across the source add 1/2 Mohm per volt that it has beyond its headroom: below 0.6 %.
    const [line, field] = drawn().draw(["line_ramp", "field_ramp"]);
    const slope = (trace: typeof line, from: number, to: number) =>
      (trace.at(to) - trace.at(from)) / (to - from);
    const lines = slope(line, 469 * 64e-6 + 10e-6, 469 * 64e-6 + 58e-6) / (1e-3 / 15e-9);
    const fields = slope(field, 21e-3, 39e-3) / (0.94e-3 / 4.7e-6);
    for (const share of [lines, fields]) {
      expect(share).toBeGreaterThan(1);
      expect(share).toBeLessThan(1.006);
    }
  });

  it("unplugged, both ramps stop at the guard rail, a diode drop, and 10 ohm times the current", () => {
    // Common practice, no source; the figure by Kirchhoff: v = 5 V + 0.6 V + 10 ohm · i, with i the source's current
    // and what its 2 Mohm add beyond the headroom of 0.9 V below 12 V.
    const name = design.cases.find(({ caseName }) => caseName.includes("unplugged"))!.caseName;
    const [line, field] = run(text, { until: "37 ms", case: name }).draw(["line_ramp", "field_ramp"]);
    const guard = (amperes: number) => (5.6 + 10 * (amperes + 11.1 / 2e6)) / (1 + 10 / 2e6);
    expect(Math.abs(line.at(35e-3) - guard(1e-3))).toBeLessThan(1e-7);
    expect(Math.abs(reach(line.between(35e-3, 36e-3)).high - guard(1e-3))).toBeLessThan(1e-7);
    expect(Math.abs(field.at(36.5e-3) - guard(0.94e-3))).toBeLessThan(1e-7);
  });
});
