// What the bench makes of what it has measured: whether a row reaches what it must. The demands are the bench's own; how
// they are judged is common practice, no source. Nothing is timed here.
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

const home = new URL("../../bench/", import.meta.url);
const { rows, judge, mustText } = (await import(new URL("rows.mjs", home).href)) as Judging;
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

  it("in short ends within three minutes, whatever is slow", () => {
    const seconds = rows.reduce((sum, { limit }) => sum + limit.short, 0);
    // The build and the bundling before the rows take some more.
    expect(seconds).toBeLessThanOrEqual(160);
    expect(new Set(rows.map(({ name }) => name)).size).toBe(rows.length);
  });

  it("refuses a row that it does not have, and figures of a part of it", () => {
    const said = (...words: string[]) =>
      spawnSync(process.execPath, [new URL("run.mjs", home).pathname, ...words], { encoding: "utf8" });
    const unknown = said("lime");
    expect(unknown.status).toBe(2);
    expect(unknown.stderr).toContain("there is no lime");
    expect(said("line", "--write").status).toBe(2);
    expect(said("--short", "--write").status).toBe(2);
  });
});
