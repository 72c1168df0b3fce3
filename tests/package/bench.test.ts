// What the bench makes of what it has measured: whether a row reaches what it must. The demands are the bench's own; how
// they are judged is common practice, no source; the exact answer that the video path is held to is checked against a
// handbook's. Nothing is timed here.
import { spawnSync } from "node:child_process";
import { describe, expect, it } from "vitest";

interface Row {
  readonly name: string;
  readonly limit: { readonly full: number; readonly short: number };
  readonly must: readonly { what: string; sense: ">=" | "<="; bound: number; unit: string }[];
}

interface Judging {
  readonly rows: readonly Row[];
  judge(
    row: Pick<Row, "must">,
    values: Record<string, number | undefined>,
    scale: number,
  ): boolean | "not run";
  mustText(row: Pick<Row, "must">, scale: number): string;
}

interface Exact {
  readonly Cascade: new (
    a: number[][],
    b: number[],
  ) => { wave(start: number[], corners: Float64Array, at: Float64Array): Float64Array[] };
}

const home = new URL("../../bench/", import.meta.url);
const { rows, judge, mustText } = (await import(new URL("rows.mjs", home).href)) as Judging;
const { Cascade } = (await import(new URL("cascade.mjs", home).href)) as Exact;
const speed = { what: "speed", sense: ">=", bound: 20, unit: "" } as const;
const wall = { what: "wall", sense: "<=", bound: 8, unit: "s" } as const;

describe("the bench", () => {
  it("scales a demand in seconds by the machine, and no other", () => {
    // A machine that is half as fast has twice the time.
    expect(judge({ must: [wall] }, { wall: 15.9 }, 2)).toBe(true);
    expect(judge({ must: [wall] }, { wall: 16.1 }, 2)).toBe(false);
    expect(judge({ must: [wall] }, { wall: 4.1 }, 0.5)).toBe(false);
    expect(judge({ must: [speed] }, { speed: 20 }, 2)).toBe(true);
    expect(judge({ must: [speed] }, { speed: 19.9 }, 2)).toBe(false);
    expect(mustText({ must: [speed, wall] }, 2)).toBe("speed >= 20; wall <= 8 s, here 16.0 s");
  });

  it("calls a row not run only where nothing that was measured falls short", () => {
    expect(judge({ must: [speed, wall] }, { speed: 21 }, 1)).toBe("not run");
    expect(judge({ must: [speed, wall] }, { speed: 19 }, 1)).toBe(false);
    expect(judge({ must: [speed, wall] }, { wall: 9 }, 1)).toBe(false);
    expect(judge({ must: [speed] }, { speed: Number.NaN }, 1)).toBe(false);
  });

  it("knows two lags in a row after a step, and one on a ramp, exactly", () => {
    // Rates a and b: 1 - (b e^(-a t) - a e^(-b t))/(b - a), and on a ramp t - (1 - e^(-a t))/a (any textbook of control).
    const [a, b] = [0.5, 40];
    const stages = new Cascade(
      [
        [-a, 0],
        [b, -b],
      ],
      [a, 0],
    );
    const at = Float64Array.from([1e-9, 0.01, 0.3, 2, 9.5]);
    // The step goes on over a corner at which nothing bends.
    const [, step] = stages.wave([0, 0], Float64Array.from([0, 1, 0.2, 1, 10, 1]), at);
    const [ramp] = stages.wave([0, 0], Float64Array.from([0, 0, 0.2, 0.2, 10, 10]), at);
    at.forEach((t, i) => {
      expect(step[i]).toBeCloseTo(1 - (b * Math.exp(-a * t) - a * Math.exp(-b * t)) / (b - a), 14);
      expect(ramp[i]).toBeCloseTo(t + Math.expm1(-a * t) / a, 14);
    });
  });

  it("in short ends within three minutes, whatever is slow", () => {
    const seconds = rows.reduce((sum, { limit }) => sum + limit.short, 0);
    // The build and the bundling before the rows take some more.
    expect(seconds).toBeLessThanOrEqual(160);
    expect(new Set(rows.map(({ name }) => name)).size).toBe(rows.length);
  });

  it("refuses a row that it does not have, and to write figures of a fraction of a row", () => {
    const said = (...words: string[]) =>
      spawnSync(process.execPath, [new URL("run.mjs", home).pathname, ...words], { encoding: "utf8" });
    const unknown = said("lime");
    expect(unknown.status).toBe(2);
    expect(unknown.stderr).toContain("there is no lime");
    expect(said("lime", "--write").status).toBe(2);
    expect(said("--short", "--write").status).toBe(2);
  });
});
